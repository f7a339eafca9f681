package mixed

import (
	"math"
	"slices"
	"testing"

	"cloche/internal/stats/model"
	"cloche/internal/stats/statstest"
)

// williams4 is a square in which every sample follows every other once
// (Williams 1949): rows are assessors.
var williams4 = [][]int{{0, 1, 3, 2}, {1, 2, 0, 3}, {2, 3, 1, 0}, {3, 0, 2, 1}}

func TestCarryOverModelRecoversEffects(t *testing.T) {
	const assessors = 400
	sampleEffect, positionEffect, previousEffect := []float64{0, 1, 2, -1}, []float64{0, -0.3, -0.5, -0.5}, []float64{0,
		0.5, 0, -0.8}
	rng := statstest.NewTestRand(8)
	s := Servings{Assessor: model.Factor{Name: "assessor", Levels: statstest.Numbered("a", assessors)},
		Sample: model.Factor{Name: "sample", Levels: statstest.Numbered("s", 4)}}
	for a := range assessors {
		level := rng.NormFloat64()
		for p, sample := range williams4[a%4] {
			y := level + sampleEffect[sample] + positionEffect[p] + 0.5*rng.NormFloat64()
			if p > 0 {
				y += previousEffect[williams4[a%4][p-1]]
			}
			s.Rating, s.Position = append(s.Rating, y), append(s.Position, p+1)
			s.Assessor.Code, s.Sample.Code = append(s.Assessor.Code, a), append(s.Sample.Code, sample)
		}
	}
	m, err := CarryOverModel(s)
	if err != nil {
		t.Fatal(err)
	}
	f, err := Fit(m)
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]float64{"samples2": 1, "samples3": 2, "samples4": -1, "position2": -0.3, "position3": -0.5,
		"previouss2": 0.5, "previouss3": 0, "previouss4": -0.8}
	for _, c := range f.Fixed {
		if w, ok := want[c.Name]; ok && math.Abs(c.Estimate-w) > 4*c.SE {
			t.Errorf("%s: %v ± %v, put in %v", c.Name, c.Estimate, c.SE, w)
		}
	}
	tests := f.Anova()
	if len(tests) != 3 || tests[2].DF1 != 3 || !(tests[2].P < 1e-6) || !(tests[0].P < 1e-6) {
		t.Errorf("anova %+v", tests)
	}
	pairs, err := f.Pairs("sample")
	if err != nil || math.Abs(pairs[0].Estimate-1) > 4*pairs[0].SE {
		t.Errorf("pairs %+v, %v", pairs, err)
	}
}

func TestPrecedingCodes(t *testing.T) {
	preceding := func(assessor, position, sample, sitting []int) ([]int, error) {
		return Servings{Assessor: model.Factor{Code: assessor}, Position: position,
			Sample: model.Factor{Code: sample}, Sitting: sitting}.preceding()
	}
	got, err := preceding([]int{0, 0, 0, 1, 1}, []int{3, 1, 2, 1, 3}, []int{7, 8, 9, 7, 8}, nil)
	if want := []int{9, -1, 8, -1, -1}; err != nil || !slices.Equal(got, want) {
		t.Errorf("got %v, %v; want %v", got, err, want)
	}
	got, err = preceding([]int{0, 0, 0, 0}, []int{1, 2, 3, 4}, []int{7, 8, 9, 6}, []int{1, 1, 2, 2})
	if want := []int{-1, 7, -1, 9}; err != nil || !slices.Equal(got, want) {
		t.Errorf("over two sittings: got %v, %v; want %v", got, err, want)
	}
	if _, err := preceding([]int{0, 0}, []int{1, 1}, []int{0, 1}, nil); err == nil {
		t.Error("two servings at one position were accepted")
	}
	if _, err := preceding([]int{0}, []int{0}, []int{0}, nil); err == nil {
		t.Error("position 0 was accepted")
	}
}
