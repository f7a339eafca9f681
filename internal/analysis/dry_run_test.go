package analysis_test

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// dryRun is a study of n assessors, k samples and m attributes with a plan.
func dryRun(tb testing.TB, n, k, m int) analysis.DryRun {
	tb.Helper()
	s, _ := wide(1, k, m)
	s.Panel.Assessors, s.Panel.Sittings = n, 1
	s.Serving = study.Serving{Design: study.All, Replicates: 1, Codes: study.CodePerSample}
	plan, err := design.Draw(s, design.Options{Seed: 3})
	if err != nil {
		tb.Fatal(err)
	}
	return analysis.DryRun{Study: s, Plan: plan, Spread: 30, Seed: 11}
}

// TestOftenIsWhatAnalyseFinds: each simulated study that is counted is one in which
// the whole analysis of its whole ratings finds the same.
func TestOftenIsWhatAnalyseFinds(t *testing.T) {
	for _, test := range []study.Test{study.PairedT, study.SignedRank} {
		for _, sides := range []study.Sides{study.TwoSided, study.Greater, study.Less} {
			t.Run(fmt.Sprint(test, " ", sides), func(t *testing.T) {
				d := dryRun(t, 24, 3, 2)
				d.Study.Plan.Test, d.Study.Plan.Sides, d.Difference = test, sides, 15
				const n = 25
				got, err := d.Often(n)
				if err != nil {
					t.Fatal(err)
				}
				found := 0
				for i := range n {
					one := d
					one.Seed = d.Seed + 1 + uint64(i)
					ratings, err := one.Ratings()
					if err != nil {
						t.Fatal(err)
					}
					r, err := analysis.Analyse(d.Study, ratings, analysis.Options{})
					if err != nil {
						t.Fatal(err)
					}
					f := r.Findings[0]
					if f.Test.P < d.Study.Plan.Alpha {
						found++
					}
				}
				if got.Found != found || got.Studies != n || got.Share != float64(found)/n || found == 0 || found == n {
					t.Errorf("counted %+v, the analyses find %d of %d", got, found, n)
				}
			})
		}
	}
}

// TestOftenIsNearAlphaAndPower: sources of what is expected: alpha by the meaning
// of a level, power from the noncentral t distribution (package stats, held against
// R there).
func TestOftenIsNearAlphaAndPower(t *testing.T) {
	for _, tc := range []struct{ replicates, n int }{{1, 40}, {3, 24}} {
		d := dryRun(t, tc.n, 2, 1)
		d.Study.Serving.Replicates = tc.replicates
		// ends far away
		d.Study.Attributes[0].Scale = study.Scale{Kind: study.Line, Low: "not", High: "very", From: -1000, To: 1000}
		var err error
		if d.Plan, err = design.Draw(d.Study, design.Options{Seed: 3}); err != nil {
			t.Fatal(err)
		}
		none, err := d.Often(2000)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(none.Share-0.05) > 4*none.SE {
			t.Errorf("%d replicates: without effect %+v, want a share near 0.05", tc.replicates, none)
		}
		d.Difference = 15
		power, err := size.PowerT(tc.n, size.TDesign{Effect: d.Difference / d.Spread})
		if err != nil {
			t.Fatal(err)
		}
		some, err := d.Often(2000)
		if err != nil {
			t.Fatal(err)
		}
		// The step of the scale, 20 points, adds little to the spread of 30.
		if math.Abs(some.Share-power.Power) > 4*some.SE+0.06 || some.SE < 0.005 || some.SE > 0.015 {
			t.Errorf("%d replicates: with an effect %+v, want a share near %g", tc.replicates, some, power.Power)
		}
	}
}

func TestDryRunIsDrawnBySeedAlone(t *testing.T) {
	d := dryRun(t, 24, 2, 2)
	once, err := d.Ratings()
	if err != nil {
		t.Fatal(err)
	}
	again, _ := d.Ratings()
	d.Seed++
	other, _ := d.Ratings()
	if !reflect.DeepEqual(once, again) || reflect.DeepEqual(once, other) || len(once) != 24*2*2 {
		t.Errorf("%d ratings; the same seed must give the same ratings and another seed others", len(once))
	}
}

func TestSharesOfNoneAndAllHaveAnError(t *testing.T) {
	d := dryRun(t, 24, 2, 1)
	d.Spread, d.Difference = 5, 50
	f, err := d.Often(20)
	if err != nil || f.Found != 20 || f.Share != 1 || !(f.SE > 0 && f.SE < 0.06) {
		t.Errorf("%+v, %v; want all found, with an error of simulating", f, err)
	}
}

func TestDryRunRefusesWhatItCannotSimulate(t *testing.T) {
	for name, tc := range map[string]struct {
		change func(*analysis.DryRun)
		want   error
	}{
		"a preference": {func(d *analysis.DryRun) { d.Study.Question = study.Preference },
			analysis.ErrNotRatings},
		"all samples together":  {func(d *analysis.DryRun) { d.Study.Plan.WholePanel = true }, analysis.ErrPlan},
		"no spread":             {func(d *analysis.DryRun) { d.Spread = 0 }, analysis.ErrPlan},
		"a spread of no number": {func(d *analysis.DryRun) { d.Spread = math.NaN() }, analysis.ErrPlan},
		"an infinite spread":    {func(d *analysis.DryRun) { d.Spread = math.Inf(1) }, analysis.ErrPlan},
		"a negative difference": {func(d *analysis.DryRun) { d.Difference = -1 }, analysis.ErrPlan},
	} {
		d := dryRun(t, 12, 2, 1)
		tc.change(&d)
		if _, err := d.Ratings(); !errors.Is(err, tc.want) {
			t.Errorf("%s: ratings with %v, want %v", name, err, tc.want)
		}
		if _, err := d.Often(1); !errors.Is(err, tc.want) {
			t.Errorf("%s: studies with %v, want %v", name, err, tc.want)
		}
	}
}

func BenchmarkDryRun(b *testing.B) {
	for _, test := range []study.Test{study.PairedT, study.SignedRank} {
		for _, size := range [][3]int{{60, 4, 4}, {200, 4, 1}, {290, 2, 1}, {2000, 4, 1}} {
			d := dryRun(b, size[0], size[1], size[2])
			d.Study.Plan.Test = test
			b.Run(fmt.Sprintf("%s/assessors=%d/samples=%d/200 studies", test, size[0], size[1]), func(b *testing.B) {
				for b.Loop() {
					if _, err := d.Often(200); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
