package analysis

import (
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

var answerANotA = answering{question: study.ANotA, find: findSaid(isKnown, recognised),
	sized: saidSizing(unbiased, seriesMixes, study.Say("people say yes to the known one as readily as no to "+
		"the other"))}

// isKnown reports whether a serving is of the first sample, which assessors know.
func isKnown(s *study.Study, t choiceTurn) bool { return t.servings[0].Sample == s.Samples[0].ID }

func recognised(c choice.TwoCounts, level float64) (float64, stats.Interval, []stats.Warning, error) {
	r, err := choice.ANotA(c.X1, c.N1, c.X2, c.N2, level)
	return r.DPrime, r.CI, r.Warnings, err
}
