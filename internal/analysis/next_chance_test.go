package analysis_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

// A study of all the people that a study left open asks for finds the smallest effect about as
// often as it says or more, at small, middle and large effects and after panels of eight; the
// people beyond the first panel alone would find it clearly less often. Where a small panel was
// left open, it mostly scattered more than people do, and asks for more of them than it takes;
// those whose answers happened to lie close must not be told that a few more are enough.
func TestRepeatingFindsAsOftenAsIsSaid(t *testing.T) {
	for _, c := range []struct {
		effect float64 // the smallest, over the spread of differences
		people int
	}{{0.3, 40}, {0.5, 20}, {0.8, 12}, {0.5, 12}, {0.5, 8}, {0.8, 8}} {
		effect, people := c.effect, c.people
		s := panelOf(2)
		s.Attributes = s.Attributes[:1]
		s.Attributes[0].Scale = study.Scale{Kind: study.Line, From: 0, To: 100}
		s.Plan.SmallestEffect, s.Plan.Sides, s.Plan.Test = 15*effect, study.TwoSided, study.PairedT
		random := rand.New(rand.NewPCG(9, uint64(10*effect)))
		dinner := func(n int) *analysis.Result {
			return analyse(t, s, pairsScattered(s, random, n, 15*effect, 15))
		}
		open, all, beyond := 0, 0, 0
		for range simulated.Analyses(4000) {
			v := dinner(people).Findings[0].Verdict
			if v.Code != analysis.Open || v.Next.Chance == 0 || v.Next.Code != analysis.NextRepeat {
				continue
			}
			open++
			if dinner(people + v.Next.More).Findings[0].Test.P < s.Plan.Alpha {
				all++
			}
			if dinner(v.Next.More).Findings[0].Test.P < s.Plan.Alpha {
				beyond++
			}
		}
		share, alone := float64(all)/float64(open), float64(beyond)/float64(open)
		t.Logf("effect %g, %d people: %d open; all find it %.3f, those beyond alone %.3f", effect, people, open, share,
			alone)
		if share < 0.8-simulated.Margin(0.8, open) || !(share > alone+0.03) {
			t.Errorf("effect %g: of %d left open %.3f are found by all, %.3f by those beyond", effect, open, share,
				alone)
		}
	}
}

// pairsScattered are ratings of two samples by n people, differences normal.
func pairsScattered(s *study.Study, random *rand.Rand, n int, difference, spread float64) (all []analysis.Rating) {
	for i := range n {
		d := difference + spread*random.NormFloat64()
		for k, x := range s.Samples {
			all = append(all, analysis.Rating{Assessor: fmt.Sprint(i), Sample: x.ID, Attribute: s.Attributes[0].ID,
				Position: 1 + (i+k)%2, Value: 50 + d/2*float64(1-2*k)})
		}
	}
	return all
}
