package analysis

import (
	"math"

	"cloche/internal/study"
)

var answerPreference = answering{question: study.Preference, find: findPaired, sized: &ChoiceSizing{
	Chance: 0.5, Above: 0.5,
	Who:   "who like one of the two better",
	Label: "Share who like one of the two better",
	Hint: "The smallest share of those who choose that you would act on, as in 0.65: 0.5 is no preference, 1 is " +
		"everybody.",
	share: func(q Sizing) float64 { return q.Share },
	looked: func(counted float64) (share, distance float64) {
		return counted, math.NaN()
	},
	assumptions: []study.Said{independentAnswers, study.Say("everybody chooses: plan some more for those who may " +
		"have no preference")},
}}
