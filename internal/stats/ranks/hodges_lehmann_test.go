package ranks

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/stats/statstest"
)

// Ratings on a scale of few steps are counted, not paired one by one: with the same answer.
func TestHodgesLehmannOfFewValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rating := rapid.Map(rapid.IntRange(0, 7), func(i int) float64 { return float64(i) * 0.3 })
		x := rapid.SliceOfN(rating, 1, 60).Draw(t, "x")
		y := rapid.SliceOfN(rating, 1, 60).Draw(t, "y")
		r := statstest.Must(HodgesLehmann(x, y, 0))
		var all []float64
		for _, a := range x {
			for _, b := range y {
				all = append(all, a-b)
			}
		}
		slices.Sort(all)
		n := len(all)
		want := []float64{all[r.K-1], all[n-r.K], all[n/2]}
		if n%2 == 0 {
			want[2] = (all[n/2] + all[n/2-1]) / 2
		}
		for i, got := range []float64{r.CI.Lo, r.CI.Hi, r.Estimate} {
			if math.Abs(got-want[i]) > 1e-12 {
				t.Errorf("number %d of %d and %d: %v, want %v", i, len(x), len(y), got, want[i])
			}
		}
		if r.NAverages != n {
			t.Errorf("%d differences, want %d", r.NAverages, n)
		}
	})
}
