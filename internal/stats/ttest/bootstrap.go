package ttest

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
	"cloche/internal/stats/ranks"
)

// BootstrapOptions sets a bootstrap; the zero value is 10,000 draws, level
// 0.95, seed 0.
type BootstrapOptions struct {
	Draws int     // 0 means 10,000
	Level float64 // 0 means 0.95
	Seed  uint64
}

// BootstrapResult is the outcome of a bootstrap. The same seed gives the same
// result on any machine.
type BootstrapResult struct {
	Estimate      float64        // statistic of the data
	Mean, SE      float64        // mean and standard deviation of the resampled statistic
	Percentile    stats.Interval // Efron 1979
	BCa           stats.Interval // bias-corrected and accelerated, Efron 1987
	Bias          float64        // z₀, the bias correction on the normal scale
	Acceleration  float64        // a
	Draws, Failed int            // resamples drawn; those with an undefined statistic, left out
	Warnings      []stats.Warning
}

// Bootstrap errors.
var (
	ErrStatistic = errors.New("the statistic is undefined for these data")
	ErrDraws     = errors.New("a bootstrap needs at least 100 draws")
)

const (
	bootstrapDraws  = 10_000
	drawsPerStream  = 512  // resamples drawn from one random stream
	mostFailedShare = 0.05 // of resamples without a statistic; beyond, the intervals are withheld
)

// BootstrapPaired resamples pairs (x[i], y[i]) with replacement and returns
// percentile and BCa intervals of statistic (Efron 1979, Ann. Stat. 7:1; Efron
// 1987, J. Am. Stat. Assoc. 82:171), the acceleration from the jackknife.
// statistic must not keep or change its arguments and may be called from
// several goroutines; NaN means undefined. y may be nil for a single sample.
// Errors: [stats.ErrUnequalLengths], [stats.ErrEmpty], [stats.ErrNotFinite], [stats.ErrLevel],
// [ErrDraws], [ErrStatistic]. Cost: Draws + n calls of statistic.
func BootstrapPaired(x, y []float64, statistic func(x, y []float64) float64, o BootstrapOptions) (BootstrapResult, error) {
	pairedWith := y
	if y == nil {
		pairedWith = x
	}
	if err := stats.CheckPairs(x, pairedWith); err != nil {
		return BootstrapResult{}, err
	}
	redraw := func(r *rand.PCG, bx, by []float64) {
		for i, j := range indices(r, bx, len(x)) {
			bx[i] = x[j]
			if y != nil {
				by[i] = y[j]
			}
		}
	}
	b := bootstrap{x: x, y: y, statistic: statistic, redraw: redraw}
	return b.run(o, func(theta float64) float64 {
		return acceleration(b.jackknife(len(x), func(i int) ([]float64, []float64) { return without(x, i), without(y, i) }))
	})
}

// BootstrapTwoSample resamples x and y each on its own. The acceleration is
// that of several samples (Davison & Hinkley 1997, eq. 5.28). Errors as in
// [BootstrapPaired].
func BootstrapTwoSample(x, y []float64, statistic func(x, y []float64) float64, o BootstrapOptions) (BootstrapResult, error) {
	if len(x) == 0 || len(y) == 0 {
		return BootstrapResult{}, stats.ErrEmpty
	}
	if err := stats.CheckSize(x, y); err != nil {
		return BootstrapResult{}, err
	}
	redraw := func(r *rand.PCG, bx, by []float64) {
		for i, j := range indices(r, bx, len(x)) {
			bx[i] = x[j]
		}
		for i, j := range indices(r, by, len(y)) {
			by[i] = y[j]
		}
	}
	b := bootstrap{x: x, y: y, statistic: statistic, redraw: redraw}
	return b.run(o, func(theta float64) float64 {
		return acceleration(
			b.jackknife(len(x), func(i int) ([]float64, []float64) { return without(x, i), y }),
			b.jackknife(len(y), func(i int) ([]float64, []float64) { return x, without(y, i) }))
	})
}

// indices yields len(into) random numbers below n, two from each random word:
// the high half of a 32-bit word times n, whose bias is below n/2³².
func indices(r *rand.PCG, into []float64, n int) func(yield func(i int, j uint64) bool) {
	return func(yield func(i int, j uint64) bool) {
		size := uint64(n)
		i := 0
		for ; i+1 < len(into); i += 2 {
			word := r.Uint64()
			yield(i, (word>>32)*size>>32)
			yield(i+1, (word&0xffffffff)*size>>32)
		}
		if i < len(into) {
			yield(i, (r.Uint64()>>32)*size>>32)
		}
	}
}

type bootstrap struct {
	x, y      []float64
	statistic func(x, y []float64) float64
	redraw    func(r *rand.PCG, bx, by []float64)
}

func (b bootstrap) run(o BootstrapOptions, accelerate func(theta float64) float64) (BootstrapResult, error) {
	level, err := stats.LevelOr95(o.Level)
	if err != nil {
		return BootstrapResult{}, err
	}
	if o.Draws == 0 {
		o.Draws = bootstrapDraws
	}
	if o.Draws < 100 {
		return BootstrapResult{}, ErrDraws
	}
	theta := b.statistic(b.x, b.y)
	if math.IsNaN(theta) || math.IsInf(theta, 0) {
		return BootstrapResult{}, ErrStatistic
	}
	values := b.resample(o)
	r := BootstrapResult{Estimate: theta, Draws: o.Draws, Failed: o.Draws - len(values),
		Mean: stats.Mean(values), SE: stats.SD(values), Percentile: stats.NoInterval(level), BCa: stats.NoInterval(level)}
	r.Bias, r.Acceleration = math.NaN(), math.NaN()
	r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnSimulated, Text: fmt.Sprintf("the interval comes from %d random resamples", o.Draws)})
	if float64(r.Failed) > mostFailedShare*float64(o.Draws) {
		r.Warnings = append(r.Warnings, stats.TooFew(len(b.x)+1, "ratings that differ: too many resamples leave the statistic undefined"))
		return r, nil
	}
	r.intervals(values, accelerate(theta))
	return r, nil
}

// resample returns the statistic of each resample where it is defined.
func (b bootstrap) resample(o BootstrapOptions) []float64 {
	values := make([]float64, o.Draws)
	streams := (o.Draws + drawsPerStream - 1) / drawsPerStream
	numeric.InParallel(streams, func(stream int) {
		random := rand.NewPCG(o.Seed, uint64(stream))
		bx := make([]float64, len(b.x))
		var by []float64
		if b.y != nil {
			by = make([]float64, len(b.y))
		}
		for i := stream * drawsPerStream; i < min(o.Draws, (stream+1)*drawsPerStream); i++ {
			b.redraw(random, bx, by)
			values[i] = b.statistic(bx, by)
		}
	})
	kept := values[:0]
	for _, v := range values {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			kept = append(kept, v)
		}
	}
	return kept
}

// jackknife returns the statistic with each of n values left out.
func (b bootstrap) jackknife(n int, leave func(i int) (x, y []float64)) []float64 {
	out := make([]float64, n)
	numeric.InParallel(n, func(i int) { out[i] = b.statistic(leave(i)) })
	return out
}

func without(x []float64, i int) []float64 {
	if x == nil {
		return nil
	}
	rest := make([]float64, 0, len(x)-1)
	return append(append(rest, x[:i]...), x[i+1:]...)
}

// acceleration is a = Σₖ ΣU³/nₖ³ / (6·(Σₖ ΣU²/nₖ²)^(3/2)) with the jackknife
// influence U = (nₖ−1)(mean − value) of each sample; NaN when undefined.
func acceleration(samples ...[]float64) float64 {
	var cubes, squares float64
	for _, values := range samples {
		n, m := float64(len(values)), stats.Mean(values)
		for _, v := range values {
			u := (n - 1) * (m - v) / n
			squares += u * u
			cubes += u * u * u
		}
	}
	if squares == 0 {
		return 0
	}
	return cubes / (6 * math.Pow(squares, 1.5))
}

// intervals fills both intervals; it reorders values.
func (r *BootstrapResult) intervals(values []float64, a float64) {
	level := r.Percentile.Level
	tail := (1 - level) / 2
	below := 0.0
	for _, v := range values {
		switch {
		case v < r.Estimate:
			below++
		case v == r.Estimate:
			below += 0.5
		}
	}
	r.Percentile.Lo, r.Percentile.Hi = orderQuantile(values, tail), orderQuantile(values, 1-tail)
	z0 := dist.NormalQuantile(below / float64(len(values)))
	if math.IsInf(z0, 0) || math.IsNaN(a) {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnConstant, Text: "the resampled statistic lies on one side of the estimate, so the corrected interval cannot be found; use the percentile interval"})
		return
	}
	r.Bias, r.Acceleration = z0, a
	corrected := func(z float64) float64 { return dist.NormalCDF(z0 + (z0+z)/(1-a*(z0+z))) }
	z := dist.NormalQuantile(tail)
	r.BCa.Lo, r.BCa.Hi = orderQuantile(values, corrected(z)), orderQuantile(values, corrected(-z))
}

// orderQuantile is the p-quantile at rank (n+1)p, interpolated between order
// statistics (Davison & Hinkley 1997, eq. 5.8 on the plain scale).
func orderQuantile(values []float64, p float64) float64 {
	h := float64(len(values)+1)*p - 1
	k := int(math.Floor(h))
	last := len(values) - 1
	if k < 0 {
		return ranks.SelectSmallest(values, 0)
	}
	if k >= last {
		return ranks.SelectSmallest(values, last)
	}
	lo, hi := ranks.SelectSmallest(values, k), ranks.SelectSmallest(values, k+1)
	return lo + (h-float64(k))*(hi-lo)
}

// DzOf is d_z alone, NaN where it is undefined: a statistic for
// [BootstrapPaired].
func DzOf(x, y []float64) float64 {
	n := float64(len(x))
	mean := 0.0
	for i := range x {
		mean += x[i] - y[i]
	}
	mean /= n
	ss := 0.0
	for i := range x {
		d := x[i] - y[i] - mean
		ss += d * d
	}
	if ss <= 1e-24*n*(1+mean*mean) {
		return math.NaN()
	}
	return mean / math.Sqrt(ss/(n-1))
}
