package profile

import (
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/simulated"
	"cloche/internal/stats/anova"
)

// Two assessors, three samples, two replicates, by hand.
func TestPanelPerformanceByHand(t *testing.T) {
	t.Parallel()
	var ratings []PanelRating
	for assessor, cells := range [][][]float64{{{1, 3}, {4, 6}, {7, 9}}, {{2, 2}, {5, 5}, {8, 8}}} {
		for sample, values := range cells {
			for _, v := range values {
				ratings = append(ratings, PanelRating{assessor, sample, v})
			}
		}
	}
	q, err := PanelPerformance(ratings)
	if err != nil {
		t.Fatal(err)
	}
	a, b := q.Assessors[0], q.Assessors[1]
	// First: SS between 2·(9+0+9) = 36 on 2 df, within 6 on 3 df: F = 9.
	if math.Abs(a.F-9) > 1e-12 || a.DF1 != 2 || a.DF2 != 3 || math.Abs(a.Repeatability-math.Sqrt2) > 1e-12 {
		t.Errorf("first assessor: %+v", a)
	}
	if !math.IsInf(b.F, 1) || b.P != 0 || b.Repeatability != 0 {
		t.Errorf("second assessor, without error: %+v", b)
	}
	if math.Abs(a.Agreement-1) > 1e-12 || math.Abs(a.Spread-1) > 1e-12 || a.Level != 0 {
		t.Errorf("agreement: %+v", a)
	}
	if math.Abs(q.Repeatability-1) > 1e-12 || q.DFError != 6 || !math.IsInf(q.FSample, 1) || q.FInteraction != 0 {
		t.Errorf("panel: %+v", q)
	}
}

func TestPanelPerformanceWithoutReplicates(t *testing.T) {
	t.Parallel()
	var ratings []PanelRating
	for assessor, row := range [][]float64{{1, 5, 9}, {2, 5, 7}, {1, 6, 8}} {
		for sample, v := range row {
			ratings = append(ratings, PanelRating{assessor, sample, v})
		}
	}
	q, err := PanelPerformance(ratings)
	if err != nil || len(q.Warnings) == 0 || !math.IsNaN(q.Assessors[0].F) || !math.IsNaN(q.Repeatability) {
		t.Errorf("%+v %v", q, err)
	}
	// The same as the randomised-block analysis.
	rm, err := anova.Repeated([][]float64{{1, 5, 9}, {2, 5, 7}, {1, 6, 8}}, anova.RepeatedOptions{})
	if err != nil || math.Abs(rm.F-q.FSample) > 1e-9 || math.Abs(rm.P-q.P) > 1e-12 {
		t.Errorf("F %v p %v, randomised blocks %v %v", q.FSample, q.P, rm.F, rm.P)
	}
}

func TestPanelPerformanceEdges(t *testing.T) {
	t.Parallel()
	one, err := PanelPerformance([]PanelRating{{0, 0, 5}})
	if err != nil || len(one.Warnings) == 0 || !math.IsNaN(one.FSample) || !math.IsNaN(one.Assessors[0].Agreement) {
		t.Errorf("one rating: %+v %v", one, err)
	}
	constant, err := PanelPerformance([]PanelRating{{0, 0, 5}, {0, 0, 5}, {0, 1, 5}, {0, 1, 5}, {1, 0, 5}, {1, 1, 5}})
	if err != nil || len(constant.Warnings) == 0 || !math.IsNaN(constant.Assessors[0].F) {
		t.Errorf("constant: %+v %v", constant, err)
	}
	for name, r := range map[string][]PanelRating{
		"none": nil, "negative": {{-1, 0, 5}}, "not a number": {{0, 0, math.NaN()}}, "huge code": {{1 << 40, 0, 5}},
		"gaps": {{90_000, 90_000, 5}},
	} {
		if _, err := PanelPerformance(r); err == nil {
			t.Errorf("%s accepted", name)
		}
	}
}

// Without differences between samples the panel's test and each assessor's own
// keep their size; 20,000 simulated panels in the full run.
func TestPanelPerformanceCalibration(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(23, 24))
	panels := simulated.Studies(20_000)
	var own, whole, interaction float64
	for range panels {
		var ratings []PanelRating
		for a := range 6 {
			level := rng.NormFloat64()
			for s := range 4 {
				for range 2 {
					ratings = append(ratings, PanelRating{a, s, 5 + level + rng.NormFloat64()})
				}
			}
		}
		q, err := PanelPerformance(ratings)
		if err != nil {
			t.Fatal(err)
		}
		if q.Assessors[0].P <= 0.05 {
			own += 1 / float64(panels)
		}
		if q.P <= 0.05 {
			whole += 1 / float64(panels)
		}
		if q.PInteraction <= 0.05 {
			interaction += 1 / float64(panels)
		}
	}
	t.Logf("rejection at 0.05: assessor %.4f, panel %.4f, interaction %.4f", own, whole, interaction)
	for name, got := range map[string]float64{"assessor": own, "panel": whole, "interaction": interaction} {
		if math.Abs(got-0.05) > simulated.Margin(0.05, panels) {
			t.Errorf("%s: rejection %.4f", name, got)
		}
	}
}
