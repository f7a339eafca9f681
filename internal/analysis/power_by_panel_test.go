package analysis_test

import (
	"math"
	"os"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// TestPowerByPanelIsThatOfTheSize: of every test, at the panel planned and at another, by simulation
// too.
func TestPowerByPanelIsThatOfTheSize(t *testing.T) {
	for _, c := range []struct {
		file string
		test study.Test
	}{
		{"four-custards", study.PairedT}, {"four-custards", study.SignedRank}, {"four-custards", study.MixedF},
		{"four-custards", study.Friedman}, {"four-custards", study.RMAnova}, {"strained-twice", study.Ordinal},
		{"one-name-each", study.WelchT}, {"one-name-each", study.Lottery}, {"promised-sweet", study.Lottery},
		{"recipe-or-name", study.PairedT}, {"recipe-or-name", study.MixedF}, {"six-salts", study.MixedF},
		{"swapped-cream", study.Equivalence}, {"celeriac-custard", study.Equivalence},
	} {
		src, err := os.ReadFile("../../studies/" + c.file + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		s, problems := study.Parse(c.file, src)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		s.Plan.Test = c.test
		other := s.Panel.Assessors + 7
		curve := analysis.PowerByPanel(s, other)
		for _, n := range []int{s.Panel.Assessors, other} {
			q, err := analysis.SizingOf(s)
			if err != nil {
				t.Fatal(c.file, c.test, err)
			}
			z, err := analysis.FindSize(q)
			if err != nil {
				t.Fatal(c.file, c.test, err)
			}
			points, err := z.Request.Notices(n)
			if err != nil {
				t.Fatal(err)
			}
			found := false
			for _, p := range curve.At {
				found = found || p.Assessors == n && math.Abs(p.Power-points[0].Power) < 1e-12
			}
			if !found {
				t.Errorf("%s, %s: no point at %d people with %g: %+v", c.file, c.test, n, points[0].Power, curve)
			}
		}
	}
}
