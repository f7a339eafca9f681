package ranks

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/stats/numeric"
	"cloche/internal/stats/statstest"
)

func TestSignedRankEqualsEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := statstest.DrawPairs(t, 1, 10)
		for _, zeros := range []ZeroMethod{Pratt, WilcoxonZeros} {
			r, err := SignedRank(x, y, SignedRankOptions{Zeros: zeros})
			if err != nil {
				t.Fatal(err)
			}
			if r.NUsed == 0 {
				continue
			}
			ranks := ranksByCounting(x, y, zeros)
			greater := statstest.EnumerateSigns(ranks, func(w float64) bool { return w >= r.WPlus })
			less := statstest.EnumerateSigns(ranks, func(w float64) bool { return w <= r.WPlus })
			if !statstest.Agree(r.ExactGreater, greater, 1e-13) || !statstest.Agree(r.ExactLess, less, 1e-13) ||
				!statstest.Agree(r.P, min(1, 2*min(greater, less)), 1e-13) {
				t.Fatalf("zeros %v: got %v %v %v, enumeration %v %v", zeros, r.ExactGreater, r.ExactLess, r.P, greater,
					less)
			}
		}
	})
}

// ranksByCounting returns the mid-ranks of the non-zero differences, each as
// (values below) + (values equal + 1)/2.
func ranksByCounting(x, y []float64, zeros ZeroMethod) []float64 {
	var size []float64
	for i := range x {
		if d := math.Abs(x[i] - y[i]); d > 0 || zeros == Pratt {
			size = append(size, d)
		}
	}
	var ranks []float64
	for _, a := range size {
		below, equal := 0.0, 0.0
		for _, b := range size {
			if b < a {
				below++
			}
			if b == a {
				equal++
			}
		}
		if a > 0 {
			ranks = append(ranks, below+(equal+1)/2)
		}
	}
	return ranks
}

func TestMannWhitneyEqualsEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rating := rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(1, 6).Draw(t, "rating")) })
		x := rapid.SliceOfN(rating, 1, 6).Draw(t, "x")
		y := rapid.SliceOfN(rating, 1, 6).Draw(t, "y")
		r, err := MannWhitney(x, y, MannWhitneyOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if math.IsNaN(r.Z) {
			return
		}
		greater, less, far := enumerateSplits(append(append([]float64{}, x...), y...), len(x), r.U)
		if !statstest.Agree(r.ExactGreater, greater, 1e-12) || !statstest.Agree(r.ExactLess, less, 1e-12) ||
			!statstest.Agree(r.ExactTwoSided, far, 1e-12) {
			t.Fatalf("got %v %v %v, enumeration %v %v %v", r.ExactGreater, r.ExactLess, r.ExactTwoSided, greater, less,
				far)
		}
	})
}

// enumerateSplits gives every choice of m values to x and counts the pairs won.
func enumerateSplits(pooled []float64, m int, u float64) (greater, less, far float64) {
	n := len(pooled)
	all := 0.0
	for choice := range 1 << n {
		var x, y []float64
		for i, v := range pooled {
			if choice>>i&1 == 1 {
				x = append(x, v)
				continue
			}
			y = append(y, v)
		}
		if len(x) != m {
			continue
		}
		all++
		won := pairsWon(x, y)
		greater += numeric.Indicator(won >= u)
		less += numeric.Indicator(won <= u)
		middle := float64(m*(n-m)) / 2
		far += numeric.Indicator(math.Abs(won-middle) >= math.Abs(u-middle))
	}
	return greater / all, less / all, far / all
}

func pairsWon(x, y []float64) float64 {
	won := 0.0
	for _, a := range x {
		for _, b := range y {
			won += numeric.Indicator(a > b) + numeric.Indicator(a == b)/2
		}
	}
	return won
}
