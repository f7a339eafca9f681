package choice

import (
	"errors"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// ErrProbability is returned for a probability outside [0, 1].
var ErrProbability = errors.New("a probability must lie in [0, 1]")

// BinomialTestOptions sets an exact binomial test; the zero value is
// two-sided with 95 % intervals.
type BinomialTestOptions struct {
	Alternative stats.Alternative // side of P
	Level       float64           // confidence level; 0 means 0.95
}

// BinomialTestResult is the outcome of [BinomialTest].
type BinomialTestResult struct {
	X, N                    int
	P0                      float64 // proportion under the null hypothesis
	Proportion              float64 // X/N
	P                       float64 // on the side asked for
	TwoSided, Greater, Less float64 // exact p-values
	MidPGreater             float64 // P(X > x) + ½·P(X = x)
	ClopperPearson          stats.Interval
	Wilson                  stats.Interval
	AgrestiCoull            stats.Interval // not clipped to [0, 1]
	Alternative             stats.Alternative
	Warnings                []stats.Warning
}

// BinomialTest tests x successes in n independent trials against the
// proportion p0, exactly. The two-sided p adds all outcomes no more likely
// than x. Intervals: Clopper & Pearson 1934 (Biometrika 26:404), coverage at
// least the level; Wilson 1927 (J. Am. Stat. Assoc. 22:209), coverage near it;
// Agresti & Coull 1998 (Am. Stat. 52:119).
//
// With n = 0 everything is NaN with a warning. Errors: [stats.ErrCounts],
// [ErrProbability], [stats.ErrLevel].
func BinomialTest(x, n int, p0 float64, o BinomialTestOptions) (BinomialTestResult, error) {
	level, err := stats.LevelOr95(o.Level)
	switch {
	case err != nil:
		return BinomialTestResult{}, err
	case x < 0 || x > n:
		return BinomialTestResult{}, stats.ErrCounts
	case !(p0 >= 0 && p0 <= 1):
		return BinomialTestResult{}, ErrProbability
	}
	r := BinomialTestResult{X: x, N: n, P0: p0, Alternative: o.Alternative}
	if n == 0 {
		nan := math.NaN()
		r.Proportion, r.P, r.TwoSided, r.Greater, r.Less, r.MidPGreater = nan, nan, nan, nan, nan, nan
		r.ClopperPearson, r.Wilson, r.AgrestiCoull = stats.NoInterval(level), stats.NoInterval(level),
			stats.NoInterval(level)
		r.Warnings = []stats.Warning{stats.TooFew(1, "answers")}
		return r, nil
	}
	r.Proportion = float64(x) / float64(n)
	r.TwoSided = dist.BinomialPValue(x, n, p0, stats.TwoSided)
	r.Greater = dist.BinomialPValue(x, n, p0, stats.Greater)
	r.Less = dist.BinomialPValue(x, n, p0, stats.Less)
	r.MidPGreater = dist.BinomialSurvival(x, n, p0) + dist.BinomialPMF(x, n, p0)/2
	r.P = [...]float64{stats.TwoSided: r.TwoSided, stats.Greater: r.Greater, stats.Less: r.Less}[o.Alternative]
	r.ClopperPearson = dist.ClopperPearson(x, n, level)
	r.Wilson = WilsonInterval(x, n, level)
	r.AgrestiCoull = agrestiCoull(x, n, level)
	return r, nil
}

// WilsonInterval returns the score interval of a proportion (Wilson 1927),
// absent unless 0 ≤ x ≤ n, n > 0 and the level lies in (0, 1).
func WilsonInterval(x, n int, level float64) stats.Interval {
	if x < 0 || x > n || n == 0 || stats.CheckLevel(level) != nil {
		return stats.NoInterval(level)
	}
	i := dist.Wilson(x, n, dist.NormalQuantile((1+level)/2))
	i.Level = level
	return i
}

func agrestiCoull(x, n int, level float64) stats.Interval {
	z := dist.NormalQuantile((1 + level) / 2)
	trials := float64(n) + z*z
	p := (float64(x) + z*z/2) / trials
	half := z * math.Sqrt(p*(1-p)/trials)
	return stats.Interval{Lo: p - half, Hi: p + half, Level: level}
}
