package anova_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/stats/anova"
)

// TestOwnEffectsAreHeld: over people and studies the interval of a person's own effect holds
// the true one as often as it says, whether noise is small or large beside what is theirs.
func TestOwnEffectsAreHeld(t *testing.T) {
	for _, sd := range []float64{6, 10, 25} {
		random := rand.New(rand.NewPCG(uint64(sd), 47))
		const studies, n, k = 300, 60, 3
		held, counted := 0, 0
		for range studies {
			rows, own := make([][]float64, n), make([]float64, n)
			for i := range rows {
				own[i] = 5 + sd*random.NormFloat64()
				for range k {
					rows[i] = append(rows[i], own[i]+10*random.NormFloat64())
				}
			}
			r, err := anova.PeopleDiffer(rows, 0.9)
			if err != nil {
				t.Fatal(err)
			}
			for i := range r.ShrunkenHalf {
				counted++
				if ci := r.Own(i); ci.Lo <= own[i] && own[i] <= ci.Hi {
					held++
				}
			}
		}
		if share := float64(held) / float64(counted); counted < studies*n*9/10 || math.Abs(share-0.9) > 0.025 {
			t.Errorf("sd %g: %.3f of %d intervals hold what is a person's own, want 0.9", sd, share, counted)
		}
	}
}

// TestOwnEffectsByHand: two people, two differences each. Between them the mean square is
// 2·((10−4)² + (−2−4)²)/1 = 144, within them (1 + 1 + 1 + 1)/2 = 2, so that what is theirs has
// the variance (144 − 2)/2 = 71, and the mean of a person keeps 71/72 of its way from 4.
// The quantile is that of t on one degree of freedom, tan(0.475π).
func TestOwnEffectsByHand(t *testing.T) {
	r, err := anova.PeopleDiffer([][]float64{{9, 11}, {-3, -1}}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	keep := 71.0 / 72
	half := 12.706204736174705 * math.Sqrt(keep*1+(1-keep)*(1-keep)*144/4)
	if ci := r.Own(0); math.Abs(r.Shrunken[0]-(4+6*keep)) > 1e-12 || math.Abs(ci.Hi-r.Shrunken[0]-half) > 1e-12 ||
		math.Abs(ci.Hi+ci.Lo-2*r.Shrunken[0]) > 1e-12 {
		t.Errorf("own effect %g within %+v, want %g ± %g", r.Shrunken[0], ci, 4+6*keep, half)
	}
	for name, rows := range map[string][][]float64{"no noise": {{3, 3}, {-3, -3}, {9, 9}},
		"noise alone": {{-5, 7}, {7, -5}, {-4, 6}}, "nothing varies": {{3, 3}, {3, 3}}} {
		if r, err := anova.PeopleDiffer(rows, 0.95); err != nil || len(r.ShrunkenHalf) > 0 {
			t.Errorf("%s: halves of intervals %g (%v), want none", name, r.ShrunkenHalf, err)
		}
	}
}
