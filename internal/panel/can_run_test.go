package panel

import (
	"errors"
	"testing"

	"cloche/internal/study"
)

func TestCanRun(t *testing.T) {
	for _, tc := range []struct {
		name string
		s    study.Study
		runs bool
	}{
		{"names, all samples to each", study.Study{Question: study.Naming}, true},
		{"some samples to each", study.Study{Question: study.Rating, Serving: study.Serving{Design: study.Some}}, true},
		{"triangle test", study.Study{Question: study.Triangle}, true},
		{"tetrad", study.Study{Question: study.Tetrad}, true},
		{"an order", study.Study{Question: study.RankingByLiking}, true},
		{"a question that there is not", study.Study{Question: "none"}, false},
		{"A or not A", study.Study{Question: study.ANotA}, true},
		{"names rated before tasting", study.Study{Question: study.Naming, Serving: study.Serving{Expectation: true}},
			true},
		{"strata", study.Study{Question: study.Naming, Serving: study.Serving{Strata: []study.Stratum{{}}}}, true},
		{"one sample to each", study.Study{Question: study.Naming, Serving: study.Serving{Design: study.One}}, true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			err := canRun(&tc.s)
			var notYet *NotYetError
			if tc.runs && err != nil || !tc.runs && !errors.As(err, &notYet) {
				t.Errorf("canRun: %v, want runs = %t", err, tc.runs)
			}
		})
	}
}
