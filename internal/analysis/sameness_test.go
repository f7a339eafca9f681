package analysis_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

// samenessStudy asks whether two recipes are practically the same.
func samenessStudy(margin, alpha float64) *study.Study {
	s := panelOf(2)
	s.Attributes[0].Scale = study.Scale{Kind: study.Line, Low: "not", High: "very", From: -1000, To: 1000}
	s.Plan.Test, s.Plan.SmallestEffect, s.Plan.Alpha = study.Equivalence, margin, alpha
	return s
}

type tostReference struct {
	ID     string
	Method string
	Data   struct{ X, Y []float64 }
	Inputs struct{ Lower, Upper, Alpha float64 }

	Expected struct {
		TLower     float64    `json:"t_lower"`
		TUpper     float64    `json:"t_upper"`
		PLower     float64    `json:"p_lower"`
		PUpper     float64    `json:"p_upper"`
		P          float64    `json:"p"`
		CI         [2]float64 `json:"ci_1_minus_2alpha"`
		Equivalent bool       `json:"equivalent"`
	}
}

// A finding of equivalence has the numbers of testdata/reference (two one-sided t.test of
// R 4.2 on published data; each entry names its source).
func TestSamenessEqualsTheReference(t *testing.T) {
	text, err := os.ReadFile("../../testdata/reference/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Entries []json.RawMessage }
	if err := json.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, raw := range file.Entries {
		var e tostReference
		if json.Unmarshal(raw, &e) != nil || e.Method != "tost_paired" || e.Inputs.Lower != -e.Inputs.Upper {
			continue
		}
		compared++
		f := analyse(t, samenessStudy(e.Inputs.Upper, e.Inputs.Alpha), paired(e.Data.X, e.Data.Y)).Findings[0]
		statistic := e.Expected.TUpper
		if e.Expected.PLower > e.Expected.PUpper {
			statistic = e.Expected.TLower
		}
		for _, x := range [][2]float64{{f.Test.Statistic, statistic}, {f.Test.P, e.Expected.P},
			{f.EquivalenceCI.Lo, e.Expected.CI[0]}, {f.EquivalenceCI.Hi, e.Expected.CI[1]}} {
			if !near(x[0], x[1], 1e-8, 1e-12) {
				t.Errorf("%s: got %v, want %v", e.ID, x[0], x[1])
			}
		}
		if same := f.Verdict.Code == analysis.Alike; same != e.Expected.Equivalent ||
			f.Test.Method != method.Equivalence {
			t.Errorf("%s: %s by %s, equivalent is %t", e.ID, f.Verdict.Code, f.Test.Method, e.Expected.Equivalent)
		}
	}
	if compared < 3 {
		t.Errorf("%d entries compared, want three or more", compared)
	}
}

// Panels sized for 80 % are called practically the same that often when they are, and at
// most in alpha of studies when they differ by the smallest effect: one rule for size,
// test and words. So is it where the plan tests a difference and the words are all.
func TestPanelsSizedForSamenessReachIt(t *testing.T) {
	const margin = 5.0
	for k, tc := range []struct{ sd, alpha float64 }{{6, 0.05}, {9, 0.05}, {8, 0.1}} {
		z := findSize(t, analysis.Sizing{Test: analysis.Equivalence, Difference: margin, Alpha: tc.alpha,
			Spread: analysis.GivenSpread(tc.sd)})
		n, want := z.Needed.Assessors, z.Needed.Power
		if want < 0.8 || want > 0.86 {
			t.Fatalf("%d assessors have power %v", n, want)
		}
		studies := simulated.Analyses(10_000)
		share, _ := simulatedSameness(t, samenessStudy(margin, tc.alpha), 0, tc.sd, n, studies, uint64(k))
		if math.Abs(share-want) > simulated.Margin(want, studies) {
			t.Errorf("sd %g, %d assessors: the same in %.3f of %d studies, sized for %.3f", tc.sd, n, share, studies,
				want)
		}
		share, _ = simulatedSameness(t, samenessStudy(margin, tc.alpha), margin, tc.sd, n, studies, uint64(k))
		if share > tc.alpha+simulated.Margin(tc.alpha, studies) {
			t.Errorf("sd %g, %d assessors that differ by the margin: the same in %.3f", tc.sd, n, share)
		}
		difference := samenessStudy(margin, tc.alpha)
		difference.Plan.Test = study.PairedT
		share, small := simulatedSameness(t, difference, 0, tc.sd, n, studies, uint64(k))
		if math.Abs(share+small-want) > simulated.Margin(want, studies) {
			t.Errorf("sd %g, %d assessors, tested for a difference: within the margin in %.3f, sized for %.3f", tc.sd,
				n,
				share+small, want)
		}
	}
}

// simulatedSameness is the share of studies called practically the same, and of those
// found different by less than the margin.
func simulatedSameness(t *testing.T, s *study.Study, shift, sd float64, n, studies int, seed uint64) (same,
	small float64) {
	t.Helper()
	random := rand.New(rand.NewPCG(1987, seed))
	a, b := make([]float64, n), make([]float64, n)
	for range studies {
		for i := range a {
			a[i], b[i] = shift+sd*random.NormFloat64(), 0
		}
		switch analyse(t, s, paired(a, b)).Findings[0].Verdict.Code {
		case analysis.Alike:
			same += 1 / float64(studies)
		case analysis.DifferentSmall:
			small += 1 / float64(studies)
		}
	}
	return same, small
}

// Everybody moved by exactly two points of a margin of five, or by five: the signs
// against both ends answer, 1/2¹².
func TestSamenessWithoutScatter(t *testing.T) {
	b := []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12}
	for shift, want := range map[float64]analysis.VerdictCode{0: analysis.Alike, 2: analysis.Alike,
		5:  analysis.DifferentAct,
		-7: analysis.DifferentAct} {
		a := make([]float64, len(b))
		for i := range a {
			a[i] = b[i] + shift
		}
		f := analyse(t, samenessStudy(5, 0.05), paired(a, b)).Findings[0]
		if f.Verdict.Code != want || f.Test.Method != method.Sign || !hasWarning(f.Warnings, analysis.WarnSignInstead) {
			t.Errorf("moved by %g: %+v by %+v, %v", shift, f.Verdict, f.Test, f.Warnings)
		}
		if p := math.Pow(0.5, 12); want == analysis.Alike && !near(f.Test.P, p, 1e-12, 0) || want != analysis.Alike &&
			f.Test.P < 0.999 {
			t.Errorf("moved by %g: p %g", shift, f.Test.P)
		}
	}
}

// A simulated panel that is as alike as can be is said to be so as often as its size says.
func TestDryRunOfSameness(t *testing.T) {
	d := dryRun(t, 40, 2, 1)
	d.Study.Plan.Test, d.Study.Plan.SmallestEffect = study.Equivalence, 15
	d.Spread = 20
	q := analysis.Sizing{Test: analysis.Equivalence, Difference: 15, Spread: analysis.GivenSpread(20), Assessors: 40}
	want := findSize(t, q).Planned.Power
	got, err := d.Often(400)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(got.Share-want) > simulated.Margin(want, 400) {
		t.Errorf("found the same in %.3f, computed %.3f", got.Share, want)
	}
}
