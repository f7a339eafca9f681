package ttest

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/stats/statstest"
)

func TestSignFlipEqualsEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := statstest.DrawPairs(t, 1, 10)
		r, err := SignFlip(x, y, SignFlipOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var size []float64
		sum, total := 0.0, 0.0
		for i := range x {
			d := x[i] - y[i]
			size = append(size, math.Abs(d))
			sum += d
			total += math.Abs(d)
		}
		if total == 0 {
			return
		}
		greater := statstest.EnumerateSigns(size, func(plus float64) bool { return 2*plus-total >= sum })
		two := statstest.EnumerateSigns(size, func(plus float64) bool {
			return math.Abs(2*plus-total) >= math.Abs(sum)
		})
		if !r.Exact || !statstest.Agree(r.Greater, greater, 1e-13) || !statstest.Agree(r.TwoSided, two, 1e-13) {
			t.Fatalf("got %+v, enumeration %v %v", r, greater, two)
		}
	})
}

func TestSubsetSumsAgreeOnTwoRoutes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.IntRange(1, rapid.SampledFrom([]int{4, 9, 300}).Draw(t, "largest"))
		parts := rapid.SliceOfN(value, 1, 24).Draw(t, "parts")
		f := flipSteps{size: parts}
		for _, v := range parts {
			f.total += v
			f.sum += v
			if rapid.Bool().Draw(t, "negative") {
				f.sum -= 2 * v
			}
		}
		least, most := f.convolve()
		leastJoined, mostJoined := f.joinHalves()
		if !statstest.Agree(least, leastJoined, 1e-12) || !statstest.Agree(most, mostJoined, 1e-12) {
			t.Fatalf("convolved %v %v, joined %v %v", least, most, leastJoined, mostJoined)
		}
	})
}
