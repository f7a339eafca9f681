package dist

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"cloche/internal/stats"
)

// TSurvival returns P(T > t) of Student's t with df degrees of freedom,
// through the incomplete beta function on the side that keeps relative
// accuracy in both tails and near 0. df may be +Inf (normal). It is NaN
// unless df > 0.
func TSurvival(t, df float64) float64 {
	switch {
	case math.IsNaN(t) || !(df > 0):
		return math.NaN()
	case math.IsInf(df, 1):
		return NormalSurvival(t)
	case t < 0:
		return 1 - TSurvival(-t, df)
	}
	t2 := t * t
	if t2 < 3 {
		return 0.5 - 0.5*incompleteBeta(0.5, df/2, t2/(df+t2), df/(df+t2))
	}
	return 0.5 * incompleteBeta(df/2, 0.5, df/(df+t2), t2/(df+t2))
}

// TCDF returns P(T ≤ t) of Student's t with df degrees of freedom.
func TCDF(t, df float64) float64 { return TSurvival(-t, df) }

// TQuantile returns the p-quantile of Student's t with df degrees of freedom:
// Newton's method on ln P(T > t) against ln t, which is concave and so
// converges from any start, begun at the Cornish–Fisher expansion
// (Abramowitz & Stegun 1964, 26.7.5). It is NaN unless 0 < p < 1 and df > 0.
func TQuantile(p, df float64) float64 {
	switch {
	case !(p > 0 && p < 1) || !(df > 0):
		return math.NaN()
	case math.IsInf(df, 1):
		return NormalQuantile(p)
	case p == 0.5:
		return 0
	case p < 0.5:
		return -upperTQuantile(p, df)
	}
	return upperTQuantile(1-p, df)
}

// upperTQuantile solves P(T > t) = tail for a tail below ½.
func upperTQuantile(tail, df float64) float64 {
	t := tStart(tail, df)
	logC := logTDensityConstant(df)
	for range 100 {
		survival := TSurvival(t, df)
		density := math.Exp(logC - (df+1)/2*math.Log1p(t*t/df))
		step := math.Log(survival/tail) * survival / (density * t)
		step = min(2, max(-2, step))
		t *= math.Exp(step)
		if math.Abs(step) <= 1e-9 { // what is left is of the order of its square
			break
		}
	}
	return t
}

func tStart(tail, df float64) float64 {
	if df <= 1.5 {
		return math.Tan(math.Pi * (0.5 - tail)) // exact for df = 1
	}
	z := -NormalQuantile(tail)
	z2 := z * z
	g1 := (z2 + 1) / 4
	g2 := ((5*z2+16)*z2 + 3) / 96
	return z * (1 + g1/df + g2/(df*df))
}

func logTDensityConstant(df float64) float64 {
	return LogGammaRatio(df/2) - 0.5*math.Log(df*math.Pi)
}

// TPValue returns the p-value of a t statistic on the side asked for.
func TPValue(t, df float64, side stats.Alternative) float64 {
	switch side {
	case stats.Greater:
		return TSurvival(t, df)
	case stats.Less:
		return TCDF(t, df)
	}
	return min(1, 2*TSurvival(math.Abs(t), df))
}

// TInterval returns estimate ± t·se, or the one-sided interval that goes with
// the side of the test.
func TInterval(estimate, se, df, level float64, side stats.Alternative) stats.Interval {
	switch side {
	case stats.Greater:
		return stats.Interval{Lo: estimate - TQuantile(level, df)*se, Hi: math.Inf(1), Level: level}
	case stats.Less:
		return stats.Interval{Lo: math.Inf(-1), Hi: estimate + TQuantile(level, df)*se, Level: level}
	}
	half := TQuantile((1+level)/2, df) * se
	return stats.Interval{Lo: estimate - half, Hi: estimate + half, Level: level}
}

func NormalCDF(z float64) float64      { return 0.5 * math.Erfc(-z/math.Sqrt2) }
func NormalSurvival(z float64) float64 { return 0.5 * math.Erfc(z/math.Sqrt2) }
func NormalQuantile(p float64) float64 { return distuv.UnitNormal.Quantile(p) }
func NormalDensity(z float64) float64  { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }

// NormalPValue returns the p-value of a z statistic on the side asked for.
func NormalPValue(z float64, side stats.Alternative) float64 {
	switch side {
	case stats.Greater:
		return NormalSurvival(z)
	case stats.Less:
		return NormalCDF(z)
	}
	return min(1, 2*NormalSurvival(math.Abs(z)))
}
