package ttest

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// TwoSampleOptions sets a test of two independent samples; the zero value is
// two-sided against a difference of 0 with a 95 % interval.
type TwoSampleOptions struct {
	Mu          float64           // difference of means under the null hypothesis
	Alternative stats.Alternative // side; also gives a one-sided interval
	Level       float64           // confidence level; 0 means 0.95
	Few         int               // with fewer values in a sample, [Welch] is on the df of the smaller
}

// TwoSampleResult is the outcome of [Welch] or [Pooled].
type TwoSampleResult struct {
	NX, NY       int
	MeanX, MeanY float64
	SDX, SDY     float64
	Diff         float64        // MeanX − MeanY
	SE           float64        // standard error of Diff
	T, DF, P     float64        // statistic, degrees of freedom, p-value
	CI           stats.Interval // of Diff
	Pooled       bool           // whether equal variances were assumed
	Alternative  stats.Alternative
	Warnings     []stats.Warning
}

// Welch tests the difference of the means of two independent samples without
// assuming equal variances: t = (x̄ − ȳ − Mu)/√(s²ₓ/nₓ + s²ᵧ/nᵧ) on the
// Welch–Satterthwaite degrees of freedom (Welch 1947, Biometrika 34:28). These are too many
// where one sample is small and the other large: of normal values with equal spreads, 4 beside
// 24 are found to differ at 1.25 % in 2.3 % of cases. Those of the smaller sample, nₓ−1 or
// nᵧ−1, are a bound: p is then never too small, whatever the spreads (Hsu 1938, Stat. Res.
// Mem. 2:1; Mickey & Brown 1966, Ann. Math. Stat. 37:639; both from memory). With o.Few they
// are taken where a sample has fewer values than that.
// Each sample needs two values; when both are constant the test is NaN with a
// warning. Errors: [stats.ErrEmpty], [stats.ErrNotFinite], [stats.ErrLevel].
func Welch(x, y []float64, o TwoSampleOptions) (TwoSampleResult, error) {
	r, level, err := twoSamples(x, y, o)
	if err != nil {
		return r, err
	}
	if r.NX < 2 || r.NY < 2 {
		r.Warnings = append(r.Warnings, stats.TooFew(2, "ratings of each sample"))
		return r, nil
	}
	vx, vy := r.SDX*r.SDX/float64(r.NX), r.SDY*r.SDY/float64(r.NY)
	// Scaled by the larger part so that very small variances do not underflow.
	big := max(vx, vy)
	a, b := vx/big, vy/big
	df := (a + b) * (a + b) / (a*a/float64(r.NX-1) + b*b/float64(r.NY-1))
	if fewer := min(r.NX, r.NY); fewer < o.Few {
		df = float64(fewer - 1)
	}
	r.finish(o, math.Sqrt(vx+vy), df, level)
	return r, nil
}

// Pooled is Student's t test of two independent samples with a common
// variance, on nₓ+nᵧ−2 degrees of freedom (Student 1908; Fisher 1925). It
// needs three values in all; else as [Welch].
func Pooled(x, y []float64, o TwoSampleOptions) (TwoSampleResult, error) {
	r, level, err := twoSamples(x, y, o)
	if err != nil {
		return r, err
	}
	r.Pooled = true
	df := float64(r.NX + r.NY - 2)
	if df < 1 {
		r.Warnings = append(r.Warnings, stats.TooFew(3, "ratings of both samples together"))
		return r, nil
	}
	r.finish(o, PooledSD(x, y)*math.Sqrt(1/float64(r.NX)+1/float64(r.NY)), df, level)
	return r, nil
}

func twoSamples(x, y []float64, o TwoSampleOptions) (TwoSampleResult, float64, error) {
	level, err := stats.LevelOr95(o.Level)
	if err != nil {
		return TwoSampleResult{}, 0, err
	}
	if len(x) == 0 || len(y) == 0 {
		return TwoSampleResult{}, 0, stats.ErrEmpty
	}
	if err := stats.CheckSize(x, y, []float64{o.Mu}); err != nil {
		return TwoSampleResult{}, 0, err
	}
	nan := math.NaN()
	r := TwoSampleResult{NX: len(x), NY: len(y), MeanX: stats.Mean(x), MeanY: stats.Mean(y),
		SDX: stats.SDUnlessConstant(x, x), SDY: stats.SDUnlessConstant(y, y),
		SE: nan, T: nan, DF: nan, P: nan, CI: stats.NoInterval(level), Alternative: o.Alternative}
	r.Diff = r.MeanX - r.MeanY
	return r, level, nil
}

func (r *TwoSampleResult) finish(o TwoSampleOptions, se, df, level float64) {
	r.SE = se
	if se == 0 {
		r.Warnings = append(r.Warnings, stats.NoSpread("ratings of each sample"))
		return
	}
	r.DF = df
	r.T = (r.Diff - o.Mu) / se
	r.P = dist.TPValue(r.T, df, o.Alternative)
	r.CI = dist.TInterval(r.Diff, se, df, level, o.Alternative)
}

// PooledSD is the square root of the pooled variance of two samples.
func PooledSD(x, y []float64) float64 {
	ss := 0.0
	for _, s := range [][]float64{x, y} {
		if len(s) > 1 && !stats.AllEqual(s) {
			ss += stats.Variance(s) * float64(len(s)-1)
		}
	}
	return math.Sqrt(ss / float64(len(x)+len(y)-2))
}
