package analysis_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// drawPlan draws a plan and ratings of whole points, few steps apart or many, so that
// ties, pairs without a difference and panels without scatter all come about.
func drawPlan(t *rapid.T) (*study.Study, []float64, []float64) {
	s, a, b := drawPanel(t)
	s.Plan.Test = rapid.SampledFrom([]study.Test{study.PairedT, study.SignedRank}).Draw(t, "test")
	s.Plan.Sides = rapid.SampledFrom([]study.Sides{study.TwoSided, study.Greater, study.Less}).Draw(t, "sides")
	if s.Plan.SmallestEffect > 0 && rapid.Bool().Draw(t, "sameness") {
		s.Plan.Test, s.Plan.Sides = study.Equivalence, study.TwoSided
	}
	s.Plan.Alpha = rapid.SampledFrom([]float64{0.01, 0.05, 0.1}).Draw(t, "alpha")
	coarse := float64(rapid.SampledFrom([]int{1, 1, 10, 50}).Draw(t, "points a step"))
	up := float64(rapid.IntRange(-15, 15).Draw(t, "shift"))
	for i := range a {
		a[i], b[i] = coarse*math.Floor(a[i]/coarse)+up, coarse*math.Floor(b[i]/coarse)
	}
	return s, a, b
}

// Every verdict follows from the numbers that stand with it.
func TestVerdictFollowsFromItsNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, a, b := drawPlan(t)
		f := mustAnalyse(t, s, paired(a, b)).Findings[0]
		v, least, alpha := f.Verdict, s.Plan.SmallestEffect, s.Plan.Alpha
		within := least > 0 && math.Abs(f.EquivalenceCI.Lo) < least && math.Abs(f.EquivalenceCI.Hi) < least
		test := f.TestOfDifference()
		found := test.P < alpha
		if s.Plan.Test == study.Equivalence {
			if f.N >= analysis.Fewest(alpha) && within != (f.Test.P < alpha) {
				t.Errorf("interval %v, margin %g, p of equivalence %g", f.EquivalenceCI, least, f.Test.P)
			}
			found = found && v.Code != analysis.Alike
		}
		switch v.Code {
		case analysis.TooFew:
			if f.N >= analysis.Fewest(alpha) {
				t.Errorf("%d pairs are called too few", f.N)
			}
			return
		case analysis.Alike:
			if !within || found {
				t.Errorf("alike: interval %v, margin %g, p %g", f.CI, least, f.Test.P)
			}
		case analysis.Open:
			if within || found {
				t.Errorf("open: interval %v, margin %g, p %g", f.CI, least, f.Test.P)
			}
		default:
			if found == v.Against {
				t.Errorf("%s: p %g, against the plan: %t", v.Code, test.P, v.Against)
			}
			if f.Value*float64(v.Direction) < 0 {
				t.Errorf("direction %d, difference %g", v.Direction, f.Value)
			}
		}
		if v.Against && (s.Plan.Sides == study.TwoSided || f.CI.Lo <= 0 && f.CI.Hi >= 0) {
			t.Errorf("against the plan: sides %s, interval %v", s.Plan.Sides, f.CI)
		}
		if f.N < analysis.Fewest(alpha) {
			t.Errorf("%d pairs get the verdict %s", f.N, v.Code)
		}
	})
}

// Test and interval say the same of 0, for both tests, where no two assessors moved by
// the same amount and nobody stayed.
func TestIntervalGoesWithTheTest(t *testing.T) {
	random := rand.New(rand.NewPCG(1963, 34))
	clear := 0
	for i := range 400 {
		n := 6 + random.IntN(60)
		a, b := make([]float64, n), make([]float64, n)
		shift := 4 * random.NormFloat64()
		for k := range a {
			b[k] = 100 * random.Float64()
			a[k] = b[k] + shift + 10*random.NormFloat64()
		}
		s := panelOf(2)
		s.Attributes[0].Scale = study.Scale{Kind: study.Line, Low: "not", High: "very", From: -1000, To: 1000}
		s.Plan.Test = []study.Test{study.PairedT, study.SignedRank}[i%2]
		f := analyse(t, s, paired(a, b)).Findings[0]
		found, outside := f.Test.P < 0.05, f.CI.Lo > 0 || f.CI.Hi < 0
		if found != outside {
			t.Errorf("%s with %d pairs: p %g, interval %v", f.Test.Method, n, f.Test.P, f.CI)
		}
		if found {
			clear++
		}
	}
	if clear < 50 || clear > 350 {
		t.Errorf("%d of 400 are clear: the test says little", clear)
	}
}

// A signed-rank plan leads with its own estimate: every assessor but one moved by a
// little, so that the mean goes one way and the ranks the other.
func TestSignedRankPlanLeadsWithTheMedian(t *testing.T) {
	s := panelOf(2)
	s.Plan.Test = study.SignedRank
	a := []float64{52, 63, 58, 74, 49, 64, 73, 55, 61, 3}
	b := []float64{50, 60, 54, 69, 43, 57, 65, 46, 51, 98}
	f := analyse(t, s, paired(a, b)).Findings[0]
	// By hand: d = 2 … 10 and −95; of the 55 averages of two the 28th is 5.5, and
	// wilcox.test(a, b, paired = TRUE, conf.int = TRUE) of R 4.2 says the same.
	if f.Measure != method.HodgesLehmann || f.Value != 5.5 {
		t.Errorf("difference %g is the %s, want 5.5", f.Value, f.Measure)
	}
	mean := f.Effects[len(f.Effects)-1]
	if mean.Measure != method.MeanDifference || !near(mean.Value, -4.1, 1e-12, 0) {
		t.Errorf("beside it %+v, want the mean −4.1", mean)
	}
	if f.Verdict.Code != analysis.DifferentSizeOpen && f.Test.P < 0.05 || f.Lean != 1 {
		t.Errorf("verdict %+v, p %g, lean %d", f.Verdict, f.Test.P, f.Lean)
	}
}

// Everybody moved by exactly ten points: the sign test answers, 2/2²⁰.
func TestEverybodyMovedByTheSame(t *testing.T) {
	s := panelOf(2)
	s.Plan.SmallestEffect = 5
	a, b := make([]float64, 20), make([]float64, 20)
	for i := range a {
		b[i] = float64(20 + 3*i)
		a[i] = b[i] + 10
	}
	f := analyse(t, s, paired(a, b)).Findings[0]
	if f.Test.Method != method.Sign || f.Test.P != 2/math.Pow(2, 20) {
		t.Errorf("test %+v, want the sign test with 2/2²⁰", f.Test)
	}
	if f.Value != 10 || f.CI.Lo != 10 || f.CI.Hi != 10 || f.CI.Level != 0.95 {
		t.Errorf("difference %g, interval %v", f.Value, f.CI)
	}
	if f.Verdict.Code != analysis.DifferentAct || !hasWarning(f.Warnings, analysis.WarnSignInstead) {
		t.Errorf("verdict %+v, warnings %v", f.Verdict, f.Warnings)
	}
	s.Plan.Test = study.SignedRank // which needs no scatter
	if g := analyse(t, s, paired(a, b)).Findings[0]; g.Test.Method != method.SignedRank ||
		g.Verdict.Code != analysis.DifferentAct {
		t.Errorf("signed-rank plan: %+v, %+v", g.Test, g.Verdict)
	}
}

// Secondary tests are adjusted method by method, and the remark that two tests
// disagree holds adjusted against adjusted.
func TestAdjustedAgainstAdjusted(t *testing.T) {
	raw := false // a pair of tests that disagrees before it is adjusted, and no more afterwards
	for seed := range uint64(400) {
		raw = checkAdjusted(t, analyse(t, threeAttributes(), onThree(30, seed))) || raw
	}
	if !raw {
		t.Error("no set tells adjusted from unadjusted")
	}
}

func checkAdjusted(t *testing.T, r *analysis.Result) (raw bool) {
	t.Helper()
	for _, f := range r.Findings {
		a, b := f.Test.P, f.Also[0].P
		if f.Role == analysis.Secondary {
			a, b = f.Test.PAdjusted, f.Also[0].PAdjusted
			raw = raw || (f.Test.P < 0.05) != (f.Also[0].P < 0.05) && (a < 0.05) == (b < 0.05)
		}
		if got := hasWarning(f.Warnings, analysis.WarnTestsDisagree); got != ((a < 0.05) != (b < 0.05)) {
			t.Errorf("%s: remark %t, %g against %g", f.Attribute, got, a, b)
		}
		for _, x := range append([]analysis.Test{f.Test}, f.Also...) {
			if adjusted := !math.IsNaN(x.PAdjusted); adjusted != (f.Role == analysis.Secondary) {
				t.Errorf("%s, %s: adjusted %t", f.Attribute, x.Method, adjusted)
			}
		}
	}
	for k := range 3 { // a family of two: the smaller p counts twice, the larger at least as much as the smaller
		p := func(f analysis.Finding) analysis.Test { return append([]analysis.Test{f.Test}, f.Also...)[k] }
		x, y := p(r.Findings[1]), p(r.Findings[2])
		small, large := min(x.P, y.P), max(x.P, y.P)
		want := []float64{min(1, 2*small), min(1, max(large, 2*small))}
		got := []float64{x.PAdjusted, y.PAdjusted}
		slices.Sort(got)
		if !near(got[0], want[0], 1e-12, 0) || !near(got[1], want[1], 1e-12, 0) {
			t.Errorf("%s: adjusted %v, want %v", x.Method, got, want)
		}
	}
	return raw
}

// threeAttributes is a study of two recipes rated on three lines.
func threeAttributes() *study.Study {
	s := panelOf(2)
	for _, id := range []study.AttributeID{"sweet", "rich"} {
		a := s.Attributes[0]
		a.ID, a.Ask = id, "How "+string(id)+" is it?"
		s.Attributes = append(s.Attributes, a)
	}
	return s
}

// onThree makes invented ratings of n assessors on three lines.
func onThree(n int, seed uint64) []analysis.Rating {
	random := rand.New(rand.NewPCG(seed, 14))
	var all []analysis.Rating
	for k, id := range []study.AttributeID{"salt", "sweet", "rich"} {
		a, b := make([]float64, n), make([]float64, n)
		for i := range a {
			b[i] = 20 + 50*random.Float64()
			a[i] = min(100, max(0, b[i]+2*float64(k)+8*random.NormFloat64()))
		}
		for _, x := range paired(a, b) {
			x.Attribute = id
			all = append(all, x)
		}
	}
	return all
}
