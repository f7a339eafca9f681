package size

import (
	"math"
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/statstest"
)

// Sizes of forced choices: the first number that keeps both risks, and the number from which
// every larger one does (Ennis & Jesionka 2011, J. Sens. Stud. 26, 371–382).
func TestSizesOfDifferenceTests(t *testing.T) {
	const source = "exact binomial, computed in R; α = 0.05 column agrees with ISO 4120 table A.3 and ASTM E1885 " +
		"(memory)"
	betas := []float64{0.20, 0.10, 0.05, 0.01}
	for _, tc := range []struct {
		protocol      choice.Protocol
		alpha, pd     float64
		first, stable []int // stable nil: not given
	}{
		{choice.Triangle, 0.05, 0.5, []int{16, 20, 23, 35}, nil},
		{choice.Triangle, 0.05, 0.4, []int{23, 30, 40, 57}, nil},
		{choice.Triangle, 0.05, 0.3, []int{40, 53, 66, 98}, []int{42, 57, 73, 102}},
		{choice.Triangle, 0.05, 0.2, []int{87, 117, 147, 213}, nil},
		{choice.Triangle, 0.05, 0.1, []int{325, 447, 572, 828}, nil},
		{choice.Triangle, 0.01, 0.5, []int{25, 30, 35, 47}, nil},
		{choice.Triangle, 0.01, 0.3, []int{62, 82, 97, 131}, nil},
		{choice.Triangle, 0.01, 0.1, []int{525, 680, 824, 1132}, nil},
		{choice.Triangle, 0.20, 0.5, []int{7, 12, 16, 25}, nil},
		{choice.Triangle, 0.20, 0.2, []int{39, 64, 86, 140}, nil},
		{choice.DuoTrio, 0.05, 0.5, []int{23, 33, 42}, []int{28, 35, 44}},
		{choice.TwoAFC, 0.05, 0.4, []int{37, 53, 67}, []int{42, 58, 69}},
		{choice.DuoTrio, 0.05, 0.3, []int{69, 93, 119}, []int{76, 102, 126}},
		{choice.DuoTrio, 0.05, 0.2, []int{158, 213, 268}, []int{169, 224, 281}},
	} {
		chance := tc.protocol.Chance()
		for j, want := range tc.first {
			s, err := Binomial(1-betas[j], 0, BinomialDesign{P0: chance, P1: chance + tc.pd*(1-chance), Alpha: tc.alpha,
				Alternative: stats.Greater})
			if err != nil || s.First.N != want {
				t.Errorf("%v α %g β %g pd %g: first %d %v, want %d (%s)", tc.protocol, tc.alpha, betas[j], tc.pd,
					s.First.N, err, want, source)
			}
			if tc.stable != nil && s.Stable.N != tc.stable[j] {
				t.Errorf("%v α %g β %g pd %g: stable %d, want %d (%s)", tc.protocol, tc.alpha, betas[j], tc.pd,
					s.Stable.N, tc.stable[j], source)
			}
		}
	}
}

// Stable numbers at α 0.05, power 80 %: exact binomial computed in R; that the tetrad needs
// about a third of the triangle: Ennis & Jesionka (2011).
func TestSizesByDistance(t *testing.T) {
	want := map[choice.Protocol][2]int{choice.ThreeAFC: {22, 9}, choice.TwoAFC: {26, 13}, choice.Tetrad: {65, 20},
		choice.Triangle: {220, 57}, choice.DuoTrio: {241, 65}}
	for p, sizes := range want {
		for j, d := range []float64{1, 1.5} {
			s, err := Binomial(0.8, 0, BinomialDesign{P0: p.Chance(), P1: p.PC(d), Alternative: stats.Greater})
			if err != nil || s.Stable.N != sizes[j] {
				t.Errorf("%v d′ %g: %d %v, want %d", p, d, s.Stable.N, err, sizes[j])
			}
		}
	}
}

// The cut that a size comes with is the one by which the test decides, and both risks are kept.
func TestSizesKeepTheCutOfTheTest(t *testing.T) {
	for _, p := range []choice.Protocol{choice.Triangle, choice.TwoAFC, choice.Tetrad} {
		for _, alpha := range []float64{0.01, 0.05, 0.2} {
			chance := p.Chance()
			s, err := Binomial(0.9, 0, BinomialDesign{P0: chance, P1: chance + 0.35*(1-chance), Alpha: alpha,
				Alternative: stats.Greater})
			statstest.Fatal(t, err)
			for _, at := range []BinomialPower{s.First, s.Stable} {
				least, ok, err := choice.MinCorrect(at.N, chance, alpha)
				if err != nil || !ok || least != at.Critical || at.Alpha > alpha || at.Power < 0.9 ||
					math.IsNaN(at.Power) {
					t.Errorf("%v α %g: %+v, and the test says different from %d on (%v)", p, alpha, at, least, err)
				}
			}
		}
	}
}
