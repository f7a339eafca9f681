package analysis_test

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/ttest"
	"cloche/internal/study"
)

func TestAnalyseErrors(t *testing.T) {
	one := paired([]float64{50, 60}, []float64{40, 70})
	for _, tc := range []struct {
		name    string
		change  func(*study.Study)
		ratings []analysis.Rating
		want    error
	}{
		{"no ratings", nil, nil, analysis.ErrNoRatings},
		{"no question", func(s *study.Study) { s.Question = "none" }, one, analysis.ErrNoAnalysis},
		{"primary sample unknown", func(s *study.Study) { s.Plan.Compare[1] = "Z" }, one, analysis.ErrPlan},
		{"sample against itself", func(s *study.Study) { s.Plan.Compare[1] = "A" }, one, analysis.ErrPlan},
		{"primary attribute unknown", func(s *study.Study) { s.Plan.Attribute = "z" }, one, analysis.ErrPlan},
		{"alpha not given", func(s *study.Study) { s.Plan.Alpha = 0 }, one, analysis.ErrPlan},
		{"alpha not a number", func(s *study.Study) { s.Plan.Alpha = math.NaN() }, one, analysis.ErrPlan},
		{"unknown sample", nil, []analysis.Rating{{Assessor: "1", Sample: "Z", Attribute: "salt", Value: 5}},
			analysis.ErrRating},
		{"unknown attribute", nil, []analysis.Rating{{Assessor: "1", Sample: "A", Attribute: "z", Value: 5}},
			analysis.ErrRating},
		{"off the scale", nil, []analysis.Rating{{Assessor: "1", Sample: "A", Attribute: "salt", Value: 500}},
			analysis.ErrRating},
		{"not a number", nil, []analysis.Rating{{Assessor: "1", Sample: "A", Attribute: "salt", Value: math.NaN()}},
			analysis.ErrRating},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := panelOf(2)
			if tc.change != nil {
				tc.change(s)
			}
			if r, err := analysis.Analyse(s, tc.ratings, analysis.Options{}); !errors.Is(err, tc.want) || r != nil {
				t.Errorf("got %v, %v; want %v", r, err, tc.want)
			}
		})
	}
}

func TestComparisonsInTheOrderOfThePlan(t *testing.T) {
	s := panelOf(3)
	s.Attributes = append(s.Attributes, study.Attribute{ID: "sweet", Ask: "How sweet is it?",
		Scale: study.Scale{Kind: study.Line}})
	s.Plan.Compare, s.Plan.Attribute = [2]study.SampleID{"C", "A"}, "sweet"
	var got []string
	for _, f := range analyse(t, s, []analysis.Rating{{Assessor: "1", Sample: "A", Attribute: "salt",
		Value: 5}}).Findings {
		got = append(got, fmt.Sprint(f.Role, " ", f.Attribute, " ", f.Comparison))
	}
	want := []string{"primary sweet [C A]", "secondary salt [C A]",
		"secondary salt [A B]", "secondary sweet [A B]", "secondary salt [B C]", "secondary sweet [B C]",
		"secondary salt [A B C]", "secondary sweet [A B C]"}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %v\nwant %v", got, want)
	}
}

func TestIncompleteAssessorsAreCounted(t *testing.T) {
	s := panelOf(3)
	ratings := paired([]float64{50, 61, 55}, []float64{40, 70, 52})
	ratings = append(ratings,
		analysis.Rating{Assessor: "8", Position: 1, Sample: "A", Attribute: "salt", Value: 5},
		analysis.Rating{Assessor: "9", Position: 1, Sample: "C", Attribute: "salt", Value: 5})
	r, err := analysis.Analyse(s, ratings, analysis.Options{Excluded: []analysis.Exclusion{{Reason: "withdrew consent",
		Count: 2}}})
	if err != nil {
		t.Fatal(err)
	}
	primary := r.Findings[0]
	if primary.N != 3 || r.Assessors != 5 {
		t.Errorf("n = %d of %d assessors, want 3 of 5", primary.N, r.Assessors)
	}
	if want := []analysis.Exclusion{{analysis.ReasonOneOnly, 1},
		{analysis.ReasonNeither, 1}}; !sameExclusions(primary.Excluded, want) {
		t.Errorf("left out of the primary: %v, want %v", primary.Excluded, want)
	}
	// Nobody rated both C and another: 1, 2, 3 rated one of A and C, 8 one, 9 one.
	want := []analysis.Exclusion{{"withdrew consent", 2}, {analysis.ReasonOneOnly, 5}, {analysis.ReasonNeither, 2}}
	if !sameExclusions(r.Excluded, want) {
		t.Errorf("left out in all: %v, want %v", r.Excluded, want)
	}
}

func sameExclusions(got, want []analysis.Exclusion) bool {
	count := map[string]int{}
	for _, e := range got {
		count[e.Reason] += e.Count
	}
	for _, e := range want {
		count[e.Reason] -= e.Count
	}
	for _, n := range count {
		if n != 0 {
			return false
		}
	}
	return len(got) == len(want)
}

func TestIncompleteBlocksAreNoFault(t *testing.T) {
	s := panelOf(3)
	s.Serving.Design = study.Some
	ratings := paired([]float64{50, 61, 55}, []float64{40, 70, 52})
	ratings = append(ratings, analysis.Rating{Assessor: "8", Position: 1, Sample: "C", Attribute: "salt", Value: 5})
	r := analyse(t, s, ratings)
	if len(r.Excluded) != 0 {
		t.Errorf("excluded %v: the plan did not serve them both", r.Excluded)
	}
	if want := []analysis.Exclusion{{analysis.ReasonByDesign, 1}}; !reflect.DeepEqual(r.Findings[0].Excluded, want) {
		t.Errorf("left out %v, want %v", r.Findings[0].Excluded, want)
	}
}

func TestReplicatesAreAveraged(t *testing.T) {
	s := panelOf(2)
	twice := paired([]float64{50, 61, 55, 30}, []float64{40, 70, 52, 35})
	for _, r := range paired([]float64{54, 65, 55, 32}, []float64{44, 60, 50, 35}) {
		r.Position += 2
		twice = append(twice, r)
	}
	got := analyse(t, s, twice).Findings[0]
	want := analyse(t, s, paired([]float64{52, 63, 55, 31}, []float64{42, 65, 51, 35})).Findings[0]
	if got.N != 4 || got.Value != want.Value || got.Test.P != want.Test.P || got.CI != want.CI {
		t.Errorf("n %d, difference %g, p %g; of the averages 4, %g, %g", got.N, got.Value, got.Test.P, want.Value,
			want.Test.P)
	}
	if !hasWarning(got.Warnings, analysis.WarnReplicates) {
		t.Error("no word of averaging")
	}
}

func TestHolmOverTheSecondary(t *testing.T) {
	s, _, ratings := custard(t, 1)
	r := analyse(t, s, ratings)
	var raw, adjusted []float64
	for _, f := range r.Findings {
		if f.Role == analysis.Primary {
			if !math.IsNaN(f.Test.PAdjusted) {
				t.Error("the primary p is adjusted")
			}
			continue
		}
		raw, adjusted = append(raw, f.Test.P), append(adjusted, f.Test.PAdjusted)
	}
	// Holm (1979): sorted p times m, m−1, …, running maximum, at most 1.
	for i, p := range raw {
		want := 0.0
		for j, q := range raw {
			rank := 0
			for _, other := range raw {
				if other < q {
					rank++
				}
			}
			if raw[j] <= p {
				want = max(want, float64(len(raw)-rank)*q)
			}
		}
		if !near(adjusted[i], min(1, want), 1e-12, 0) {
			t.Errorf("p %g is adjusted to %g, want %g", p, adjusted[i], min(1, want))
		}
	}
	s.Plan.Adjust = study.NoAdjustment
	r = analyse(t, s, ratings)
	if !math.IsNaN(r.Findings[1].Test.PAdjusted) || !hasWarning(r.Warnings, analysis.WarnNotAdjusted) {
		t.Error("adjusted although the plan says none, or silent about it")
	}
}

func TestPlannedTestAndSides(t *testing.T) {
	a, b := []float64{50, 61, 55, 70, 44, 58, 66}, []float64{40, 60, 52, 61, 45, 50, 60}
	for _, tc := range []struct {
		name           string
		test           study.Test
		sides          study.Sides
		planned, other method.ID
	}{
		{"paired t, greater", study.PairedT, study.Greater, method.PairedT, method.SignedRank},
		{"paired t, less", study.PairedT, study.Less, method.PairedT, method.SignedRank},
		{"signed rank, two", study.SignedRank, study.TwoSided, method.SignedRank, method.PairedT},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := panelOf(2)
			s.Plan.Test, s.Plan.Sides = tc.test, tc.sides
			f := analyse(t, s, paired(a, b)).Findings[0]
			if f.Test.Method != tc.planned || f.Also[0].Method != tc.other {
				t.Errorf("test %s, also %s", f.Test.Method, f.Also[0].Method)
			}
			side := map[study.Sides]stats.Alternative{study.TwoSided: stats.TwoSided, study.Greater: stats.Greater,
				study.Less: stats.Less}[tc.sides]
			want, err := ttest.Paired(a, b, ttest.PairedOptions{Alternative: side})
			if err != nil {
				t.Fatal(err)
			}
			if tc.test == study.PairedT && f.Test.P != want.P {
				t.Errorf("p %g, want %g", f.Test.P, want.P)
			}
			if math.IsInf(f.CI.Lo, 0) || math.IsInf(f.CI.Hi, 0) {
				t.Errorf("interval %v has an open side", f.CI)
			}
			if one := tc.sides != study.TwoSided; one != hasWarning(f.Warnings, analysis.WarnOneSided) {
				t.Errorf("warning of a one-sided test: %v", !one)
			}
		})
	}
}

func TestTwoPairsHaveNoCorrectedEffect(t *testing.T) {
	f := analyse(t, panelOf(2), paired([]float64{50, 60}, []float64{40, 70})).Findings[0]
	for _, e := range f.Effects {
		if e.Measure == method.Gz && !(math.IsNaN(e.Value) && e.CI.Absent()) {
			t.Errorf("g_z of two pairs is %g, %g to %g; want it absent: J is 0 on one degree of freedom", e.Value,
				e.CI.Lo, e.CI.Hi)
		}
	}
	if len(f.Warnings) == 0 {
		t.Error("no warning with what could not be computed")
	}
}
