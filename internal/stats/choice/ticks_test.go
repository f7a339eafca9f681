package choice

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// randomTicks are answers of n assessors to words for k samples.
func randomTicks(random *rand.Rand, n, k, words int) [][][]bool {
	ticks := make([][][]bool, n)
	for i := range ticks {
		ticks[i] = make([][]bool, k)
		for j := range ticks[i] {
			ticks[i][j] = make([]bool, words)
			for w := range ticks[i][j] {
				ticks[i][j][w] = random.IntN(3) == 0
			}
		}
	}
	return ticks
}

// TestTicksAddUpCochransQ: the sum is that of Cochran's Q of each word, and in whatever order
// the words stand, the p is the same.
func TestTicksAddUpCochransQ(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		n, k, words := 1+random.IntN(20), 2+random.IntN(4), 1+random.IntN(8)
		ticks := randomTicks(random, n, k, words)
		r, err := Ticks(ticks, 99)
		if err != nil {
			t.Fatal(err)
		}
		want := 0.
		for w := range words {
			rows := make([][]bool, n)
			for i := range rows {
				for j := range k {
					rows[i] = append(rows[i], ticks[i][j][w])
				}
			}
			if q, _ := CochranQ(rows); !math.IsNaN(q.Q) {
				want += q.Q
			}
		}
		if math.Abs(r.Sum-want) > 1e-9*(1+want) {
			t.Errorf("%d × %d × %d: sum %g, want %g", n, k, words, r.Sum, want)
		}
		for _, samples := range ticks {
			for _, list := range samples {
				slices.Reverse(list)
			}
		}
		if again, _ := Ticks(ticks, 99); again.P != r.P && !(math.IsNaN(again.P) && math.IsNaN(r.P)) {
			t.Errorf("with the words reversed p is %g, not %g", again.P, r.P)
		}
	}
}

// TestTicksOfOneWordAgreeWithTheExactTest: of one word the shuffles are those of Cochran's Q.
func TestTicksOfOneWordAgreeWithTheExactTest(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for range 10 {
		ticks := randomTicks(random, 12, 3, 1)
		rows := make([][]bool, len(ticks))
		for i := range rows {
			for j := range 3 {
				rows[i] = append(rows[i], ticks[i][j][0])
			}
		}
		q, err := CochranQ(rows)
		if err != nil {
			t.Fatal(err)
		}
		r, _ := Ticks(ticks, 9999)
		if math.Abs(r.P-q.ExactP) > 0.02 { // four standard errors of 9,999 draws at ½
			t.Errorf("by shuffles p is %g, exactly %g", r.P, q.ExactP)
		}
	}
}

// TestExactCochranOfTwoSamplesIsMcNemars: both are the binomial distribution at ½.
func TestExactCochranOfTwoSamplesIsMcNemars(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	for range 100 {
		rows := make([][]bool, 1+random.IntN(60))
		for i := range rows {
			rows[i] = []bool{random.IntN(2) == 0, random.IntN(3) == 0}
		}
		q, err := CochranQ(rows)
		if err != nil {
			t.Fatal(err)
		}
		if q.Informative > 0 && math.Abs(q.ExactP-q.Pairs[0].P) > 1e-9 {
			t.Errorf("exact p %g, McNemar %g", q.ExactP, q.Pairs[0].P)
		}
		if q.Informative == 0 && !math.IsNaN(q.ExactP) {
			t.Errorf("of nobody who answers differently p is %g", q.ExactP)
		}
	}
}

// TestExactCochranNearsChiSquared: of many assessors the two agree; of too many there is no
// exact one.
func TestExactCochranNearsChiSquared(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	rows := make([][]bool, 50)
	for i := range rows {
		rows[i] = []bool{random.IntN(2) == 0, random.IntN(2) == 0, random.IntN(2) == 0}
	}
	q, err := CochranQ(rows)
	if err != nil || math.Abs(q.P-q.ExactP) > 0.03 {
		t.Errorf("χ² says %g, the exact test %g (%v)", q.P, q.ExactP, err)
	}
	for range 3 {
		rows = append(rows, rows...)
	}
	if q, _ = CochranQ(rows); !math.IsNaN(q.ExactP) || math.IsNaN(q.P) {
		t.Errorf("of %d assessors the exact p is %g", len(rows), q.ExactP)
	}
}
