package dist

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"
)

// At x = (a+1)/(a+b+2) rounding can put both tails beyond the limit at which
// the sides are exchanged.
func TestIncompleteBetaAtTheExchangeOfSides(t *testing.T) {
	t.Parallel()
	for a := 0.5; a < 30; a += 0.5 {
		for b := 0.5; b < 30; b += 0.5 {
			x := (a + 1) / (a + b + 2)
			for _, x := range []float64{math.Nextafter(x, 0), x, math.Nextafter(x, 1)} {
				for _, y := range []float64{1 - x, math.Nextafter(1-x, 1), (b + 1) / (a + b + 2)} {
					for _, shift := range []float64{-4e-16, -2e-16, 0} {
						got, want := incompleteBeta(a*(1+shift), b, x, y), mathext.RegIncBeta(a, b, x)
						if math.Abs(got-want) > 1e-12 {
							t.Fatalf("I(%g; %g, %g) = %v, want %v", x, a, b, got, want)
						}
					}
				}
			}
		}
	}
}
