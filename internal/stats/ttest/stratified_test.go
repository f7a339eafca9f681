package ttest_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/stats/anova"
	"cloche/internal/stats/ttest"
)

// The square of t is the F of the sample beside the strata, whose values testdata/reference
// has from anova(lm()) of R; with one stratum the test is Student's.
func TestStratifiedIsThePartialF(t *testing.T) {
	random := rand.New(rand.NewPCG(19, 71))
	for trial := range 200 {
		s := ttest.Stratified{}
		strata := 1 + trial%4
		n := 2*strata + 2 + random.IntN(30)
		columns := make([][]float64, strata)
		var y, sample []float64
		for i := range n {
			h := random.IntN(strata)
			v := 50 + 5*float64(h) + 10*random.NormFloat64()
			first := i < 2 || i > 3 && random.IntN(2) == 0
			if i < 4 {
				h = 0
			}
			for k := range columns {
				columns[k] = append(columns[k], map[bool]float64{true: 1}[k == h])
			}
			y = append(y, v)
			sample = append(sample, map[bool]float64{true: 1}[first])
			if first {
				s.X, s.XStratum = append(s.X, v), append(s.XStratum, fmt.Sprint(h))
				continue
			}
			s.Y, s.YStratum = append(s.Y, v), append(s.YStratum, fmt.Sprint(h))
		}
		r, err := s.Test(ttest.TwoSampleOptions{})
		if err != nil {
			t.Fatal(err)
		}
		f := anova.PartialF(y, columns, [][]float64{sample}, 0)
		if math.Abs(r.T*r.T-f.F) > 1e-8*(1+f.F) || math.Abs(r.P-f.P) > 1e-8 || r.DF != f.DF2 {
			t.Fatalf("t² %v, p %v, df %v; F %v, p %v, df %v", r.T*r.T, r.P, r.DF, f.F, f.P, f.DF2)
		}
		if strata > 1 {
			continue
		}
		p, err := ttest.Pooled(s.X, s.Y, ttest.TwoSampleOptions{})
		if err != nil || math.Abs(p.T-r.T) > 1e-10 || math.Abs(p.CI.Lo-r.CI.Lo) > 1e-10 {
			t.Fatalf("one stratum: t %v, Student's %v, %v", r.T, p.T, err)
		}
	}
}

func TestStratifiedWithoutAnswer(t *testing.T) {
	for name, s := range map[string]ttest.Stratified{
		"no stratum has both": {X: []float64{1, 2}, Y: []float64{3, 4}, XStratum: []string{"a", "a"},
			YStratum: []string{"b", "b"}},
		"nothing left": {X: []float64{1}, Y: []float64{3}, XStratum: []string{"a"}, YStratum: []string{"a"}},
		"no scatter": {X: []float64{1, 1, 2}, Y: []float64{1, 2}, XStratum: []string{"a", "a", "b"},
			YStratum: []string{"a", "b"}},
	} {
		r, err := s.Test(ttest.TwoSampleOptions{})
		if err != nil || !math.IsNaN(r.P) || len(r.Warnings) == 0 {
			t.Errorf("%s: %+v, %v", name, r, err)
		}
	}
}
