package mixed

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"cloche/internal/stats/model"
	"cloche/internal/stats/statstest"
)

// evenings are four samples rated by people who come to two of four evenings, two samples
// each time, in the orders of a Williams square.
func evenings(people int, sample []int, rating []float64) model.Data {
	d := model.Data{Response: rating}
	code := func(name string, levels int, at func(i int) int) {
		f := model.Factor{Name: name, Levels: statstest.Numbered(name, levels)}
		for i := range rating {
			f.Code = append(f.Code, at(i))
		}
		d.Factors = append(d.Factors, f)
	}
	code("assessor", people, func(i int) int { return i / 4 })
	code("sample", 4, func(i int) int { return sample[i] })
	code("position", 4, func(i int) int { return i % 4 })
	code("sitting", 4, func(i int) int { return (i/4 + i%4/2) % 4 })
	return d
}

func ofEvenings(d model.Data) Model {
	return Model{Data: d, Fixed: []model.Term{{"sample"}, {"position"}}, SmallSample: true,
		Random: []RandomTerm{{Group: model.Term{"assessor"}}, {Group: model.Term{"sitting"}},
			{Group: model.Term{"assessor", "sitting"}}}}
}

// TestSmallSampleIsThatOfR compares with R 4.2.2, lmerTest's anova and contest1D with
// "Kenward-Roger" (pbkrtest) on ratings that were made up: all of them, and without the third,
// eighteenth and forty-fourth, where the variance between evenings of a person is 0. Two
// optimisers meet at about 1e-5.
func TestSmallSampleIsThatOfR(t *testing.T) {
	rating := []float64{2, 27, 63, 46, 59, 46, 28, 35, 29, 36, 56, 50, 67, 72, 59, 67, 42, 74, 46, 69, 46, 45, 45, 39,
		71, 57, 59, 42, 75, 73, 81, 67, 32, 21, 35, 39, 48, 27, 21, 26, 48, 48, 63, 65, 54, 48, 42, 49, 36, 13, 31, 61,
		74, 59, 46, 62, 65, 41, 50, 71, 36, 60, 33, 37}
	var sample []int
	for _, c := range "3021302130210132120312030132231030210132231001322310120323101203" {
		sample = append(sample, int(c-'0'))
	}
	missing := slices.Clone(rating)
	for _, i := range []int{3, 18, 44} {
		missing[i-1] = math.NaN()
	}
	for name, tc := range map[string]struct {
		rating []float64
		want   [][]float64 // F, DF2 and P of sample and position; estimate, SE and DF of a pair
	}{
		"all": {rating, [][]float64{{1.0392440113, 36.76320956, 0.3866368845},
			{0.5625861967, 25.72544517, 0.6445633387}, {-3.027660781, 4.267297889, 38.58382038}}},
		"three missing": {missing, [][]float64{{0.5865051379, 33.17468216, 0.6281107613},
			{1.3420402286, 24.17547641, 0.2840351374}, {-2.66050918, 3.966782739, 36.79698913}}},
	} {
		fit, err := Fit(ofEvenings(evenings(16, sample, tc.rating)))
		statstest.Fatal(t, err)
		if !fit.SmallSample() {
			t.Fatalf("%s: not corrected", name)
		}
		pair := statstest.Must(fit.Pairs("sample"))[0]
		got := [][]float64{{}, {}, {pair.Estimate, pair.SE, pair.DF}}
		for i, test := range fit.Anova() {
			got[i] = []float64{test.F, test.DF2, test.P}
		}
		for i, row := range tc.want {
			for j, want := range row {
				if math.Abs(got[i][j]-want) > 2e-5*math.Abs(want) {
					t.Errorf("%s: %d, %d: %.10g, want %.10g", name, i, j, got[i][j], want)
				}
			}
		}
	}
}

// The tests keep their level where people come to several evenings, of which Satterthwaite's
// err in 6.1 to 6.5 % (4,000 studies each).
func TestCalibrationOfFewEvenings(t *testing.T) {
	square := [][]int{{0, 1, 3, 2}, {1, 2, 0, 3}, {2, 3, 1, 0}, {3, 0, 2, 1}}
	for _, day := range []float64{0, 0.5, 1} {
		c := statstest.Calibration{Name: fmt.Sprintf("evenings of a person differ by %g", day),
			Studies: statstest.SimulatedStudies / 4, P: func(rng *rand.Rand) float64 {
				var sample []int
				var rating []float64
				var sitting [4]float64
				for i := range sitting {
					sitting[i] = rng.NormFloat64() / 2
				}
				for i, a := range rng.Perm(16) {
					own, days := rng.NormFloat64(), [2]float64{day * rng.NormFloat64(), day * rng.NormFloat64()}
					for j, s := range square[a%4] {
						sample = append(sample, s)
						rating = append(rating, own+days[j/2]+sitting[(i+j/2)%4]+rng.NormFloat64())
					}
				}
				return statstest.Must(Fit(ofEvenings(evenings(16, sample, rating)))).Anova()[0].P
			}}
		t.Run(c.Name, c.Run)
	}
}

// Of many ratings, and of slopes, the tests are Satterthwaite's.
func TestSmallSampleIsSmall(t *testing.T) {
	sample, rating := make([]int, mostSmall+4), make([]float64, mostSmall+4)
	rng := rand.New(rand.NewPCG(4, 2))
	for i := range rating {
		sample[i], rating[i] = rng.IntN(4), rng.NormFloat64()
	}
	fit, err := Fit(ofEvenings(evenings(len(rating)/4, sample, rating)))
	if err != nil || fit.SmallSample() {
		t.Errorf("%d ratings are corrected: %v", len(rating), err)
	}
}
