package analysis_test

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/analysis/analysistest"
	"cloche/internal/method"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

// evidenceStudy is the custard of one dish under two names, with evidence counted over 48 people.
func evidenceStudy(t testing.TB, by study.Evidence) *study.Study {
	t.Helper()
	s := lookingStudy(t)
	s.Plan.Looks, s.Plan.Spending = nil, ""
	s.Plan.Evidence, s.Plan.EvidenceAt = by, 0.5
	return s
}

func has(warnings []analysis.Warning, code string) bool {
	return slices.ContainsFunc(warnings, func(w analysis.Warning) bool { return w.Code == code })
}

// Everything that is told of evidence fits: p, interval, odds, verdict, who counts, and what is warned of;
// the order in which people came is what counts, not that of the file.
func TestEvidenceSaysTheSame(t *testing.T) {
	for _, by := range []study.Evidence{study.ByMixture, study.ByBetting} {
		s := evidenceStudy(t, by)
		plan := drawn(t, s)
		stopped := 0
		for seed := range uint64(40) {
			ratings := evenings(s, plan, float64(seed%4)*0.35, seed)
			r := analyse(t, s, ratings)
			f := r.Findings[0]
			e := f.Evidence
			if e.Stopped {
				stopped++
			}
			if e.Stopped != (f.Test.P <= s.Plan.Alpha) || e.Stopped != (f.CI.Lo > 0 || f.CI.Hi < 0) ||
				e.Stopped != f.Verdict.Different() || e.Stopped != (e.LogE() >= math.Log(20)) {
				t.Errorf("%s, seed %d: stopped %v at ln E %g, p %g, interval %v, %s", by, seed, e.Stopped, e.LogE(),
					f.Test.P, f.CI, f.Verdict.Code)
			}
			if len(e.Steps) != f.N || f.N+e.Later != 48 || e.Later > 0 && !e.Stopped || e.Stopped && f.N < 12 {
				t.Errorf("%s, seed %d: %d steps, %d people, %d later", by, seed, len(e.Steps), f.N, e.Later)
			}
			for i, step := range e.Steps[:f.N-1] {
				if i+1 >= 12 && step >= math.Log(20) {
					t.Errorf("%s, seed %d: enough after %d already", by, seed, i+1)
				}
			}
			if f.Measure != method.AtAnyMoment || f.Test.Method != s.PlannedTest() ||
				!near(f.Value, e.Plain.Value, 1e-9, 1e-12) {
				t.Errorf("%s, seed %d: %s by %s, %g and %g", by, seed, f.Measure, f.Test.Method, f.Value, e.Plain.Value)
			}
			if has(f.Warnings, "estimate-after-early-look") != e.Stopped ||
				has(f.Warnings, "evidence-not-conclusive") == e.Stopped || has(f.Warnings, "arrival-not-known") {
				t.Errorf("%s, seed %d: %v", by, seed, f.Warnings)
			}
			again := slices.Clone(ratings)
			slices.Reverse(again)
			if g := analyse(t, s, again).Findings[0]; g.N != f.N || g.Evidence.LogE() != e.LogE() {
				t.Errorf("%s, seed %d: the order of the file counts", by, seed)
			}
		}
		if stopped == 0 || stopped == 40 {
			t.Errorf("%s: %d of 40 stopped", by, stopped)
		}
	}
}

// A file says in what order people came, and where nothing does the report says so.
func TestEvidenceNeedsTheOrder(t *testing.T) {
	s := evidenceStudy(t, study.ByMixture)
	ratings := evenings(s, drawn(t, s), 0.9, 1)
	f := analyse(t, s, ratings).Findings[0]
	var file bytes.Buffer
	if err := analysistest.WriteCSV(&file, s, ratings); err != nil {
		t.Fatal(err)
	}
	back, problems := analysis.ReadCSV("r.csv", &file, s, nil)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if g := analyse(t, s, back).Findings[0]; g.N != f.N || g.Evidence.LogE() != f.Evidence.LogE() {
		t.Errorf("read back: %d people, %g", g.N, g.Evidence.LogE())
	}
	for i := range ratings {
		ratings[i].Arrived = 0
	}
	if g := analyse(t, s, ratings).Findings[0]; !has(g.Warnings, "arrival-not-known") {
		t.Error("nobody is told that the order is not known")
	}
}

// Who is moved far against all others raises false alarms by a t mixture: that is said, with the evidence
// by betting. Where all are moved alike there is no evidence by a t mixture.
func TestEvidenceOfOddDifferences(t *testing.T) {
	s := evidenceStudy(t, study.ByMixture)
	x, _ := s.Attribute(s.Plan.Attribute)
	s.Attributes = slices.DeleteFunc(s.Attributes,
		func(a study.Attribute) bool { return a.ID != s.Plan.Attribute })
	ratings := evenings(s, drawn(t, s), 0, 2)
	set := func(by func(i int) float64) {
		for i, r := range ratings {
			ratings[i].Value = (x.Scale.Min() + x.Scale.Max()) / 2
			if r.Sample == s.Plan.Compare[0] {
				ratings[i].Value += by(i)
			}
		}
	}
	set(func(i int) float64 {
		if i%40 == 0 {
			return -(x.Scale.Max() - x.Scale.Min()) / 2
		}
		return 5 + float64(i%3)
	})
	if f := analyse(t, s, ratings).Findings[0]; !has(f.Warnings, "lopsided-differences") {
		t.Errorf("lopsided differences go unsaid: %v", f.Warnings)
	}
	set(func(int) float64 { return 10 })
	if f := analyse(t, s, ratings).Findings[0]; !has(f.Warnings, "all-differences-equal") || f.Evidence.LogE() != 0 {
		t.Errorf("equal differences: %g, %v", f.Evidence.LogE(), f.Warnings)
	}
}

// Looking after everybody through the whole analysis, false alarms stay below alpha and the interval
// covers: Ville's inequality promises both.
func TestEvidenceKeepsItsPromises(t *testing.T) {
	if testing.Short() {
		t.Skip("simulates")
	}
	for _, by := range []study.Evidence{study.ByMixture, study.ByBetting} {
		s := evidenceStudy(t, by)
		s.Attributes = slices.DeleteFunc(s.Attributes,
			func(a study.Attribute) bool { return a.ID != s.Plan.Attribute })
		plan := drawn(t, s)
		x, _ := s.Attribute(s.Plan.Attribute)
		for _, dz := range []float64{0, 0.4} {
			t.Run(fmt.Sprintf("%s, d_z %g", by, dz), func(t *testing.T) {
				t.Parallel()
				n := simulated.Analyses(2000)
				truth := dz * (x.Scale.Max() - x.Scale.Min()) / 12 * math.Sqrt2
				alarms, covered := 0, 0
				for seed := range n {
					f := analyse(t, s, evenings(s, plan, dz, uint64(seed))).Findings[0]
					if f.Verdict.Different() {
						alarms++
					}
					if f.CI.Lo <= truth && truth <= f.CI.Hi {
						covered++
					}
				}
				margin := simulated.Margin(0.05, n)
				if share := float64(alarms) / float64(n); dz == 0 && share > 0.05+margin {
					t.Errorf("false alarms %.3f of %d", share, n)
				}
				if share := float64(covered) / float64(n); share < 0.95-margin {
					t.Errorf("the interval covers %.3f of %d", share, n)
				}
			})
		}
	}
}

func TestOddsInWords(t *testing.T) {
	for e, want := range map[float64]string{1: "1.0 to 1", 34.9: "34 to 1", 0.2: "1 to 5.0", 9.99: "9.9 to 1",
		2e6: "more than a million to 1", 19.99: "19 to 1", 20: "20 to 1"} {
		if got := analysis.Odds(math.Log(e)); got != want {
			t.Errorf("%g: %s, want %s", e, got, want)
		}
	}
}

func BenchmarkEvidenceNow(b *testing.B) {
	s := evidenceStudy(b, study.ByMixture)
	s.Panel.Assessors = 200
	ratings := evenings(s, drawn(b, s), 0, 1)
	for b.Loop() {
		if _, err := analysis.EvidenceNow(s, ratings, nil); err != nil {
			b.Fatal(err)
		}
	}
}
