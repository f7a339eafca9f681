package stats

import (
	"errors"
	"math"
)

// ErrProbability is returned for a probability outside [0, 1].
var ErrProbability = errors.New("a probability must lie in [0, 1]")

// BinomialTestOptions sets an exact binomial test; the zero value is
// two-sided with 95 % intervals.
type BinomialTestOptions struct {
	Alternative Alternative // side of P
	Level       float64     // confidence level; 0 means 0.95
}

// BinomialTestResult is the outcome of [BinomialTest].
type BinomialTestResult struct {
	X, N                    int
	P0                      float64 // proportion under the null hypothesis
	Proportion              float64 // X/N
	P                       float64 // on the side asked for
	TwoSided, Greater, Less float64 // exact p-values
	MidPGreater             float64 // P(X > x) + ½·P(X = x)
	ClopperPearson          Interval
	Wilson                  Interval
	AgrestiCoull            Interval // not clipped to [0, 1]
	Alternative             Alternative
	Warnings                []Warning
}

// BinomialTest tests x successes in n independent trials against the
// proportion p0, exactly. The two-sided p adds all outcomes no more likely
// than x. Intervals: Clopper & Pearson 1934 (Biometrika 26:404), coverage at
// least the level; Wilson 1927 (J. Am. Stat. Assoc. 22:209), coverage near it;
// Agresti & Coull 1998 (Am. Stat. 52:119).
//
// With n = 0 everything is NaN with a warning. Errors: [ErrCounts],
// [ErrProbability], [ErrLevel].
func BinomialTest(x, n int, p0 float64, o BinomialTestOptions) (BinomialTestResult, error) {
	level, err := levelOr95(o.Level)
	switch {
	case err != nil:
		return BinomialTestResult{}, err
	case x < 0 || x > n:
		return BinomialTestResult{}, ErrCounts
	case !(p0 >= 0 && p0 <= 1):
		return BinomialTestResult{}, ErrProbability
	}
	r := BinomialTestResult{X: x, N: n, P0: p0, Alternative: o.Alternative}
	if n == 0 {
		nan := math.NaN()
		r.Proportion, r.P, r.TwoSided, r.Greater, r.Less, r.MidPGreater = nan, nan, nan, nan, nan, nan
		r.ClopperPearson, r.Wilson, r.AgrestiCoull = absent(level), absent(level), absent(level)
		r.Warnings = []Warning{warnTooFew(1, "answers")}
		return r, nil
	}
	r.Proportion = float64(x) / float64(n)
	r.TwoSided = binomialPValue(x, n, p0, TwoSided)
	r.Greater = binomialPValue(x, n, p0, Greater)
	r.Less = binomialPValue(x, n, p0, Less)
	r.MidPGreater = BinomialSurvival(x, n, p0) + binomialPMF(x, n, p0)/2
	r.P = [...]float64{TwoSided: r.TwoSided, Greater: r.Greater, Less: r.Less}[o.Alternative]
	r.ClopperPearson = clopperPearson(x, n, level)
	r.Wilson = WilsonInterval(x, n, level)
	r.AgrestiCoull = agrestiCoull(x, n, level)
	return r, nil
}

// WilsonInterval returns the score interval of a proportion (Wilson 1927),
// absent unless 0 ≤ x ≤ n, n > 0 and the level lies in (0, 1).
func WilsonInterval(x, n int, level float64) Interval {
	if x < 0 || x > n || n == 0 || checkLevel(level) != nil {
		return absent(level)
	}
	i := wilson(x, n, normalQuantile((1+level)/2))
	i.Level = level
	return i
}

// ClopperPearson returns the exact interval of a proportion (Clopper & Pearson
// 1934), absent unless 0 ≤ x ≤ n, n > 0 and the level lies in (0, 1).
func ClopperPearson(x, n int, level float64) Interval {
	if x < 0 || x > n || n == 0 || checkLevel(level) != nil {
		return absent(level)
	}
	return clopperPearson(x, n, level)
}

func agrestiCoull(x, n int, level float64) Interval {
	z := normalQuantile((1 + level) / 2)
	trials := float64(n) + z*z
	p := (float64(x) + z*z/2) / trials
	half := z * math.Sqrt(p*(1-p)/trials)
	return Interval{p - half, p + half, level}
}
