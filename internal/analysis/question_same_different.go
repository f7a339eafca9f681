package analysis

import (
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

var answerSameDifferent = answering{question: study.SameDifferent, find: findSaid(areSame, toldApart),
	sized: saidSizing(likelier, runningMixes, study.Say("people call a pair the same where that is the likelier"))}

// areSame reports whether both servings are of one sample.
func areSame(_ *study.Study, t choiceTurn) bool { return t.servings[0].Sample == t.servings[1].Sample }

func toldApart(c choice.TwoCounts, level float64) (float64, stats.Interval, []stats.Warning, error) {
	r, err := choice.SameDifferent(c.X1, c.N1, c.X2, c.N2, level)
	return r.DPrime, r.CI, r.Warnings, err
}
