package choice

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"cloche/internal/stats/dist"
)

// Protocol is a difference test with a forced choice: how the samples are put
// before the assessor and what counts as correct.
type Protocol int

// The forced-choice protocols.
const (
	Triangle Protocol = iota // which of three is the odd one
	DuoTrio                  // which of two equals the reference
	TwoAFC                   // which of two has more of the named attribute
	ThreeAFC                 // which of three has more of the named attribute
	Tetrad                   // sort four samples into two equal pairs
)

// ErrProtocol is returned for a protocol that is none of the named ones.
var ErrProtocol = errors.New("unknown difference-test protocol")

// String names the protocol as the field does.
func (p Protocol) String() string {
	names := [...]string{"triangle", "duo-trio", "2-AFC", "3-AFC", "tetrad"}
	if p < 0 || int(p) >= len(names) {
		return fmt.Sprintf("protocol %d", int(p))
	}
	return names[p]
}

func (p Protocol) check() error {
	if p < Triangle || p > Tetrad {
		return fmt.Errorf("%w: %d", ErrProtocol, int(p))
	}
	return nil
}

// Chance returns the probability of a correct answer by pure guessing.
func (p Protocol) Chance() float64 {
	if p == DuoTrio || p == TwoAFC {
		return 1. / 2
	}
	return 1. / 3
}

// PC returns the probability of a correct answer at the sensory distance
// dPrime ≥ 0 (in units of the standard deviation of one perception). A
// negative distance is taken as 0; +Inf gives 1.
//
// Psychometric functions: 2-AFC, 3-AFC, triangle and duo-trio after Ennis
// (1993), J. Sens. Stud. 8, 353–370; tetrad after Ennis, Rousseau & Ennis
// (2014), Short Stories in Sensory and Consumer Science. One dimension, equal
// variances, independent perceptions (the scope of ASTM E2262). Absolute error
// of the quadrature is below 1e-14.
func (p Protocol) PC(dPrime float64) float64 {
	d := math.Max(dPrime, 0)
	if math.IsInf(d, 1) {
		return 1
	}
	switch p {
	case TwoAFC:
		return dist.NormalCDF(d / math.Sqrt2)
	case ThreeAFC:
		return normalMean(func(z float64) float64 { c := dist.NormalCDF(z + d); return c * c })
	case DuoTrio:
		a, b := dist.NormalCDF(d/math.Sqrt2), dist.NormalCDF(d/math.Sqrt(6))
		return 1 - a - b + 2*a*b
	case Triangle:
		return normalMean(func(z float64) float64 {
			u := math.Abs(z) * math.Sqrt(3)
			return dist.NormalCDF(-u+d*math.Sqrt(2./3)) + dist.NormalCDF(-u-d*math.Sqrt(2./3))
		})
	case Tetrad:
		return 1 - 2*normalMean(func(z float64) float64 {
			a, b := dist.NormalCDF(z), dist.NormalCDF(z-d)
			return 2*a*b - b*b
		})
	}
	return math.NaN()
}

// slope returns the derivative of [Protocol.PC] at d ≥ 0, in closed form under
// the same integral.
func (p Protocol) slope(d float64) float64 {
	switch p {
	case TwoAFC:
		return dist.NormalDensity(d/math.Sqrt2) / math.Sqrt2
	case ThreeAFC:
		return 2 * normalMean(func(z float64) float64 { return dist.NormalCDF(z+d) * dist.NormalDensity(z+d) })
	case DuoTrio:
		a, b := d/math.Sqrt2, d/math.Sqrt(6)
		return dist.NormalDensity(a)/math.Sqrt2*(2*dist.NormalCDF(b)-1) +
			dist.NormalDensity(b)/math.Sqrt(6)*(2*dist.NormalCDF(a)-1)
	case Triangle:
		c := math.Sqrt(2. / 3)
		return normalMean(func(z float64) float64 {
			u := math.Abs(z) * math.Sqrt(3)
			return c * (dist.NormalDensity(-u+d*c) - dist.NormalDensity(-u-d*c))
		})
	case Tetrad:
		return 4 * normalMean(func(z float64) float64 {
			return dist.NormalDensity(z-d) * (dist.NormalCDF(z) - dist.NormalCDF(z-d))
		})
	}
	return math.NaN()
}

// DPrime returns the sensory distance at which the probability of a correct
// answer is pc: 0 at or below chance (the usual rule), +Inf at 1. The root is
// bracketed, so the result is good to about 1e-12 away from chance.
func (p Protocol) DPrime(pc float64) (float64, error) {
	if err := p.check(); err != nil {
		return math.NaN(), err
	}
	if math.IsNaN(pc) || pc < 0 || pc > 1 {
		return math.NaN(), fmt.Errorf("proportion correct %g: it must lie in [0, 1]", pc)
	}
	if pc <= p.Chance() {
		return 0, nil
	}
	if pc == 1 {
		return math.Inf(1), nil
	}
	if p == TwoAFC {
		return math.Sqrt2 * dist.NormalQuantile(pc), nil
	}
	return p.invertPC(pc), nil
}

// invertPC solves PC(d) = pc for chance < pc < 1 by Newton steps inside a
// shrinking bracket. PC reaches 1 in floating point well before d = maxDPrime.
func (p Protocol) invertPC(pc float64) float64 {
	lo, hi, d := 0.0, maxDPrime, 1.5
	for range 200 {
		f := p.PC(d) - pc
		if f > 0 {
			hi = d
		} else {
			lo = d
		}
		next := d - f/p.slope(d)
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-d) <= 1e-14*(1+d) {
			return next
		}
		d = next
	}
	return d
}

// maxDPrime bounds the search for d′: all five psychometric functions equal 1
// to the last bit there.
const maxDPrime = 40.0

// normalNodes are Gauss–Legendre points on [-9, 9] with the standard normal
// density in the weights. 40 points on each half keep the kink at 0 of the
// triangle's |z| between panels.
var normalNodes, normalWeights = func() ([]float64, []float64) {
	const half, reach = 40, 9.0
	x, w := make([]float64, 2*half), make([]float64, 2*half)
	quad.Legendre{}.FixedLocations(x[:half], w[:half], -reach, 0)
	quad.Legendre{}.FixedLocations(x[half:], w[half:], 0, reach)
	for i := range w {
		w[i] *= dist.NormalDensity(x[i])
	}
	return x, w
}()

// normalMean returns the mean of f(Z) for a standard normal Z.
func normalMean(f func(z float64) float64) float64 {
	sum := 0.0
	for i, z := range normalNodes {
		sum += normalWeights[i] * f(z)
	}
	return sum
}
