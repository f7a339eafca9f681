package analysis_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// drawPanel draws a study of two samples and ratings of whole points.
func drawPanel(t *rapid.T) (*study.Study, []float64, []float64) {
	n := rapid.IntRange(1, 25).Draw(t, "assessors")
	s := panelOf(2)
	s.Attributes[0].Scale = study.Scale{Kind: study.Line, Low: "not", High: "very", From: -1000, To: 1000}
	s.Plan.SmallestEffect = float64(rapid.IntRange(0, 20).Draw(t, "smallest effect"))
	values := rapid.SliceOfN(rapid.Map(rapid.IntRange(0, 40), func(v int) float64 { return float64(v) }), n, n)
	return s, values.Draw(t, "a"), values.Draw(t, "b")
}

func mustAnalyse(t *rapid.T, s *study.Study, ratings []analysis.Rating) *analysis.Result {
	r, err := analysis.Analyse(s, ratings, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func sameOrBothNaN(got, want float64) bool {
	return math.IsNaN(got) && math.IsNaN(want) || near(got, want, 1e-9, 1e-9)
}

func TestSwappingTheSamplesFlipsTheSign(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, a, b := drawPanel(t)
		ratings := paired(a, b)
		f := mustAnalyse(t, s, ratings).Findings[0]
		s.Plan.Compare = [2]study.SampleID{"B", "A"}
		g := mustAnalyse(t, s, ratings).Findings[0]
		for _, v := range [][2]float64{{g.Value, -f.Value}, {g.CI.Lo, -f.CI.Hi}, {g.CI.Hi, -f.CI.Lo},
			{g.Pair.Means[0], f.Pair.Means[1]}, {g.Pair.SDs[1], f.Pair.SDs[0]}, {g.Test.Statistic, -f.Test.Statistic},
			{g.Test.P, f.Test.P},
			{g.Also[0].P, f.Also[0].P}, {g.Also[1].P, f.Also[1].P}, {g.Effects[0].Value, -f.Effects[0].Value},
			{g.Effects[0].CI.Lo, -f.Effects[0].CI.Hi}} {
			if f.Test.Method == method.Sign && v[0] == g.Test.Statistic {
				continue // the sign test counts those who moved up
			}
			if !sameOrBothNaN(v[0], v[1]) {
				t.Errorf("got %g, want %g", v[0], v[1])
			}
		}
		if (g.Pair.Moved != analysis.Moved{Up: f.Pair.Moved.Down, Down: f.Pair.Moved.Up, Same: f.Pair.Moved.Same}) {
			t.Errorf("moved %v, swapped %v", f.Pair.Moved, g.Pair.Moved)
		}
	})
}

func TestOrderOfRowsIsIrrelevant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, a, b := drawPanel(t)
		ratings := paired(a, b)
		for _, r := range paired(b, a) { // replicates whose sums depend on their order
			ratings = append(ratings, analysis.Rating{Assessor: r.Assessor, Position: r.Position + 2, Sample: r.Sample,
				Attribute: "salt", Value: r.Value / 7},
				analysis.Rating{Assessor: r.Assessor, Position: r.Position + 4, Sample: r.Sample, Attribute: "salt",
					Value: r.Value / 3})
		}
		shuffled := rapid.Permutation(ratings).Draw(t, "rows")
		got, want := mustAnalyse(t, s, shuffled), mustAnalyse(t, s, ratings)
		if diff := cmp.Diff(want, got, cmpopts.EquateNaNs()); diff != "" {
			t.Error(diff)
		}
	})
}

func TestShiftAndStretch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, a, b := drawPanel(t)
		shift := float64(rapid.IntRange(-100, 100).Draw(t, "shift"))
		stretch := float64(rapid.IntRange(1, 16).Draw(t, "stretch"))
		f := mustAnalyse(t, s, paired(a, b)).Findings[0]
		g := mustAnalyse(t, s, paired(moved(a, shift, stretch), moved(b, shift, stretch))).Findings[0]
		for _, v := range [][2]float64{{g.Value, stretch * f.Value}, {g.CI.Lo, stretch * f.CI.Lo},
			{g.CI.Hi, stretch * f.CI.Hi},
			{g.Test.P, f.Test.P}, {g.Also[0].P, f.Also[0].P}, {g.Effects[0].Value,
				f.Effects[0].Value}, {g.Effects[1].CI.Hi, f.Effects[1].CI.Hi}} {
			if !sameOrBothNaN(v[0], v[1]) {
				t.Errorf("got %g, want %g", v[0], v[1])
			}
		}
	})
}

func moved(x []float64, shift, stretch float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = shift + stretch*v
	}
	return out
}

func TestHalfRatedAssessorsChangeNothingElse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, a, b := drawPanel(t)
		ratings := paired(a, b)
		f := mustAnalyse(t, s, ratings).Findings[0]
		extra := rapid.IntRange(1, 5).Draw(t, "half-rated")
		for i := range extra {
			ratings = append(ratings, analysis.Rating{Assessor: fmt.Sprintf("half %d", i), Position: 1, Sample: "A",
				Attribute: "salt", Value: 1000})
		}
		r := mustAnalyse(t, s, ratings)
		g := r.Findings[0]
		if len(r.Excluded) != 1 || r.Excluded[0].Count != extra {
			t.Errorf("excluded %v, want %d", r.Excluded, extra)
		}
		if !hasWarning(g.Warnings, analysis.WarnIncomplete) {
			t.Error("no word of those left out")
		}
		g.Excluded, g.Warnings, f.Excluded, f.Warnings = nil, nil, nil, nil
		if diff := cmp.Diff(f, g, cmpopts.EquateNaNs()); diff != "" {
			t.Error(diff)
		}
	})
}

func TestWhatCannotBeComputedHasAWarning(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, a, b := drawPanel(t)
		if rapid.Bool().Draw(t, "constant") {
			for i := range a {
				a[i], b[i] = 7, 7
			}
		}
		f := mustAnalyse(t, s, paired(a, b)).Findings[0]
		if (math.IsNaN(f.Test.P) || f.CI.Absent() || math.IsNaN(f.Effects[0].Value)) && len(f.Warnings) == 0 {
			t.Errorf("absent numbers and no warning: %+v", f)
		}
	})
}
