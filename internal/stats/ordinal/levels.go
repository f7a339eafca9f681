package ordinal

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// fitted is what differences and shares are reckoned from: the parameters of the fit,
// and each coefficient as a combination of them.
type fitted struct {
	link       Link
	psi        []float64
	covariance numeric.Matrix       // without rows where there is none
	weights    map[string][]float64 // by name of the coefficient; nil where it is aliased
	cuts       [][]float64          // the weights of the thresholds
}

// coefficient is a combination of the parameters with its Wald test; unbounded reports
// that the likelihood rises for ever along it: on standardised columns a standard error
// in the hundreds.
func (f *fitted) coefficient(name string, weights []float64, level float64) (out Coefficient, unbounded bool) {
	const limit = 100
	nan := math.NaN()
	out = Coefficient{name, nan, nan, nan, nan, stats.NoInterval(level)}
	if weights == nil {
		return out, false
	}
	variance := nan
	if f.covariance.Rows > 0 {
		variance = f.covariance.Quadratic(weights, weights)
	}
	if variance/stats.SumOfSquares(weights) > limit*limit {
		return out, true
	}
	out.Estimate = numeric.Dot(weights, f.psi)
	out.SE = math.Sqrt(variance)
	out.Z = out.Estimate / out.SE
	out.P = 2 * dist.NormalSurvival(math.Abs(out.Z))
	half := -dist.NormalQuantile((1-level)/2) * out.SE
	out.CI = stats.Interval{Lo: out.Estimate - half, Hi: out.Estimate + half, Level: level}
	return out, false
}

// effect are the weights of a coefficient; those of "" are zero, for the first level of a
// factor.
func (f *fitted) effect(name string) ([]float64, error) {
	if name == "" {
		return make([]float64, len(f.psi)), nil
	}
	w, ok := f.weights[name]
	if !ok {
		return nil, fmt.Errorf("ordinal model: there is no coefficient %q", name)
	}
	return w, nil
}

// Difference is one coefficient minus another with its Wald test: of two levels of a
// factor, whose first level has the name "". It is NaN where either is.
func (f *Result) Difference(a, b string, level float64) (Coefficient, error) {
	x, err := f.fitted.effect(a)
	if err != nil {
		return Coefficient{}, err
	}
	y, err := f.fitted.effect(b)
	if err != nil {
		return Coefficient{}, err
	}
	var weights []float64
	if x != nil && y != nil {
		weights = make([]float64, len(x))
		for i := range weights {
			weights[i] = x[i] - y[i]
		}
	}
	out, _ := f.fitted.coefficient(a+"-"+b, weights, level)
	return out, nil
}

// marginalPoints of Gauss–Hermite quadrature for shares over people: their levels have a
// standard deviation of a few units at most, where so many are right to ten digits.
const marginalPoints = 60

// Shares are the probabilities of the categories that occur, [Result.Used], for a level of a
// factor, all else at its first level or 0: averaged over assessors where their levels are random.
// Nil where the coefficient has no finite estimate.
func (f *Result) Shares(name string) ([]float64, error) {
	w, err := f.fitted.effect(name)
	if err != nil || w == nil || len(f.fitted.cuts) == 0 {
		return nil, err
	}
	if c, unbounded := f.fitted.coefficient(name, w, 0.95); unbounded || name != "" && math.IsNaN(c.SE) {
		return nil, nil
	}
	at := numeric.Dot(w, f.fitted.psi)
	shares := make([]float64, len(f.fitted.cuts)+1)
	below := 0.0
	for j, cut := range f.fitted.cuts {
		upTo := f.fitted.upTo(numeric.Dot(cut, f.fitted.psi)-at, f.RandomSD)
		shares[j], below = upTo-below, upTo
	}
	shares[len(shares)-1] = 1 - below
	return shares, nil
}

// upTo is the probability of the categories up to a threshold, over normal levels.
func (f *fitted) upTo(threshold, sd float64) float64 {
	if math.IsNaN(sd) || sd == 0 {
		return f.link.at(threshold).cdf
	}
	x, w := make([]float64, marginalPoints), make([]float64, marginalPoints)
	quad.Hermite{}.FixedLocations(x, w, math.Inf(-1), math.Inf(1))
	sum := 0.0
	for i, v := range x {
		sum += w[i] * f.link.at(threshold-sd*math.Sqrt2*v).cdf
	}
	return sum / math.Sqrt(math.Pi)
}
