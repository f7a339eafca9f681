package looks

import (
	"fmt"
	"math"

	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// Spending returns how much of alpha, two-sided, has been spent by the information fraction t,
// in (0, 1]; alpha at t = 1.
type Spending func(t, alpha float64) float64

// OBrienFleming spends almost nothing early: 4·[1 − Φ(z_{1−α/4}/√t)].
func OBrienFleming(t, alpha float64) float64 {
	return 4 * dist.NormalSurvival(-dist.NormalQuantile(alpha/4)/math.Sqrt(t))
}

// Pocock spends evenly: α·ln(1 + (e − 1)·t).
func Pocock(t, alpha float64) float64 { return alpha * math.Log1p((math.E-1)*t) }

// Bound is what a look needs to stop.
type Bound struct {
	Fraction float64 // information fraction of the look
	Spent    float64 // alpha spent up to it
	Z        float64 // |Z| from which on tasting stops
	P        float64 // the same as a two-sided p
	Exit     float64 // chance under no effect to stop at this look
}

// TCritical is the bound of a t statistic of n people: |t| from which on tasting stops.
func (b Bound) TCritical(n int) float64 { return dist.TQuantileUpper(b.P/2, float64(n-1)) }

// Bounds returns the bounds of looks at rising information fractions. The last of them spends
// all of alpha, whatever its fraction; an earlier one beyond 1 spends what 1 would. An error
// where fractions do not rise from above 0, or alpha is not between 0 and 1.
func Bounds(fractions []float64, alpha float64, spend Spending) ([]Bound, error) {
	if err := rising(fractions); err != nil {
		return nil, err
	}
	if !(alpha > 0 && alpha < 1) {
		return nil, fmt.Errorf("alpha is %g, not between 0 and 1", alpha)
	}
	bounds, reached := make([]Bound, len(fractions)), (*reach)(nil)
	spent := 0.0
	for k, t := range fractions {
		b := Bound{Fraction: t, Spent: alpha}
		if k < len(fractions)-1 {
			b.Spent = max(spent, spend(min(t, 1), alpha))
		}
		b.Exit = b.Spent - spent
		b.Z = reached.bound(t, b.Exit)
		b.P = 2 * dist.NormalSurvival(b.Z)
		if k < len(fractions)-1 {
			reached = reached.next(t, fractions[k+1], b.Z)
		}
		bounds[k], spent = b, b.Spent
	}
	return bounds, nil
}

func rising(fractions []float64) error {
	last := 0.0
	for k, t := range fractions {
		if !(t > last) || math.IsInf(t, 1) {
			return fmt.Errorf("information fraction %g of look %d: they must rise from above 0", t, k+1)
		}
		last = t
	}
	if len(fractions) == 0 {
		return fmt.Errorf("no looks: at least one information fraction")
	}
	return nil
}

// unreachable is the bound of a look that has nothing to spend, and the largest that is told
// from it: beyond it the tail of the normal distribution is 0 in floating point.
const unreachable = 38

// bound returns c with P(|Z_k| ≥ c, not stopped before) = exit.
func (r *reach) bound(t, exit float64) float64 {
	if r == nil {
		return min(-dist.NormalQuantile(exit/2), unreachable)
	}
	outside := func(c float64) float64 { // bounds are symmetric; as logarithms, which are nearly a parabola
		return math.Log(max(2*r.beyond(t, c, 0), math.SmallestNonzeroFloat64)) - math.Log(exit)
	}
	if !(exit > 0) || outside(unreachable) >= 0 {
		return unreachable
	}
	return numeric.BracketRoot(outside, 0, unreachable, 1e-13)
}
