package stats

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// chi2Survival returns P(χ² > x) on df degrees of freedom.
func chi2Survival(x, df float64) float64 {
	switch {
	case math.IsNaN(x) || !(df > 0):
		return math.NaN()
	case x <= 0:
		return 1
	case df == 1:
		return math.Erfc(math.Sqrt(x / 2))
	}
	return mathext.GammaIncRegComp(df/2, x/2)
}
