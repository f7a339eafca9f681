package analysis_test

import (
	"errors"
	"math"
	"os"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

// dryRunOf is a dry run of an example study, changed.
func dryRunOf(t testing.TB, file string, change func(*study.Study)) analysis.DryRun {
	t.Helper()
	text, err := os.ReadFile("../../studies/" + file + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse(file, text)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if change != nil {
		change(s)
	}
	plan, err := design.Draw(s, design.Options{Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	return analysis.DryRun{Study: s, Plan: plan, Spread: 25, Seed: 11}
}

// TestOftenIsWhatAnalyseFindsOfEveryKind: of those who get one sample each, and of orders,
// each simulated study that is counted is one in which the whole analysis finds the same.
func TestOftenIsWhatAnalyseFindsOfEveryKind(t *testing.T) {
	for name, tc := range map[string]struct {
		file       string
		difference float64
		change     func(*study.Study)
	}{
		"one each, within strata": {"one-name-each", 14, nil},
		"one each, by ranks": {"one-name-each", 14, func(s *study.Study) {
			s.Serving.Strata, s.Plan.Test, s.Panel.Assessors = nil, study.RankSum, 60
		}},
		"one each, several times": {"one-name-each", 14, func(s *study.Study) {
			s.Serving.Replicates, s.Plan.Sides = 2, study.Less
		}},
		"an order":             {"four-crusts", 0.65, func(s *study.Study) { s.Panel.Assessors = 40 }},
		"an order as expected": {"salt-in-order", 0.6, func(s *study.Study) { s.Panel.Assessors = 40 }},
	} {
		t.Run(name, func(t *testing.T) {
			d := dryRunOf(t, tc.file, tc.change)
			d.Difference = tc.difference
			const n = 25
			got, err := d.Often(n)
			if err != nil {
				t.Fatal(err)
			}
			found := 0
			for i := range n {
				one := d
				one.Seed = d.Seed + 1 + uint64(i)
				answers, err := one.Ratings()
				if err != nil {
					t.Fatal(err)
				}
				r, err := analysis.Analyse(d.Study, answers, analysis.Options{})
				if err != nil {
					t.Fatal(err)
				}
				if r.Findings[0].Test.P < d.Study.Plan.Alpha {
					found++
				}
			}
			if got.Found != found || found == 0 || found == n {
				t.Errorf("counted %+v, the analyses find %d of %d", got, found, n)
			}
		})
	}
}

// TestOftenOfEveryKindIsNearAlphaAndPower: what is expected is alpha, by the meaning of a
// level, and the power that the size of the panel says (package size, held against R).
func TestOftenOfEveryKindIsNearAlphaAndPower(t *testing.T) {
	for name, tc := range map[string]struct {
		file   string
		change func(*study.Study)
		effect float64
	}{
		"one each": {"one-name-each", func(s *study.Study) {
			for i := range s.Attributes { // ends far away
				s.Attributes[i].Scale = study.Scale{Kind: study.Line, Low: "not", High: "very", From: -1000, To: 1000}
			}
		}, 15},
		"an order": {"four-crusts", nil, 0.65},
	} {
		t.Run(name, func(t *testing.T) {
			n := simulated.Studies(5000)
			d := dryRunOf(t, tc.file, tc.change)
			none, err := d.Often(n)
			if err != nil {
				t.Fatal(err)
			}
			// Friedman's chi-squared is approximate and its statistic discrete.
			if off := math.Abs(none.Share - 0.05); off > simulated.Margin(0.05, n)+0.005 {
				t.Errorf("without effect %+v, want a share near 0.05", none)
			}
			d.Study.Plan.SmallestEffect = tc.effect
			q, err := analysis.SizingOf(d.Study)
			if err != nil {
				t.Fatal(err)
			}
			q.Spread = analysis.GivenSpread(d.Spread)
			size, err := analysis.FindSize(q)
			if err != nil {
				t.Fatal(err)
			}
			d.Difference = tc.effect
			some, err := d.Often(n)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(some.Share-size.Planned.Power) > 4*some.SE+0.04 {
				t.Errorf("with an effect %+v, want a share near %g", some, size.Planned.Power)
			}
		})
	}
}

// TestBestAndWorstLieSoFarApart: of many who put samples in an order, the share who put the
// best before the worst is the one assumed.
func TestBestAndWorstLieSoFarApart(t *testing.T) {
	d := dryRunOf(t, "salt-in-order", func(s *study.Study) { s.Panel.Assessors = 200 })
	d.Difference = 0.7
	best, worst := analysis.BestAndWorst(d.Study)
	if best != "D" || worst != "A" {
		t.Errorf("best %s and worst %s, want D and A as expected", best, worst)
	}
	before, n := 0.0, 0.0
	for d.Seed = range 20 {
		answers, err := d.Ratings()
		if err != nil {
			t.Fatal(err)
		}
		place := map[string]float64{} // of the best
		for _, r := range answers {
			if r.Sample == best {
				place[r.Assessor] = r.Value
			}
		}
		for _, r := range answers {
			if r.Sample == worst {
				n++
				if place[r.Assessor] < r.Value {
					before++
				}
			}
		}
	}
	if n != 4000 || math.Abs(before/n-0.7) > simulated.Margin(0.7, int(n)) {
		t.Errorf("%g of %g put the best before the worst, want 70 %%", before, n)
	}
	for _, share := range []float64{0.5, 0.3, 1, -0.1, math.NaN()} {
		d.Difference = share
		if _, err := d.Ratings(); !errors.Is(err, analysis.ErrPlan) {
			t.Errorf("a share of %g: %v, want a refusal", share, err)
		}
	}
}
