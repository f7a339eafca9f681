package ranks

import (
	"cmp"
	"math"
	"slices"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// Stratified are two independent samples whose values lie in strata: X[i] in stratum
// XStratum[i], Y[i] in YStratum[i].
type Stratified struct {
	X, Y               []float64
	XStratum, YStratum []string
}

// VanElterenResult is the outcome of [Stratified.Test].
type VanElterenResult struct {
	Statistic float64 // Σ U_h/(N_h+1), U_h the pairs of stratum h with x > y; ties count half
	Mean, Var float64 // of Statistic when samples are alike, given the ties
	Z         float64 // (Statistic − Mean)/√Var
	P         float64 // exact when Exact, else by the normal distribution of Z
	Exact     bool
	Compared  int // strata with values of both samples: the others say nothing
	Warnings  []stats.Warning
}

// The exact distribution of [Stratified.Test] takes some milliseconds for a stratum at the most:
// so many additions for its own, and so many to join it to those before. With more the
// normal distribution is near.
const (
	mostDrawn = 20_000_000
	mostSums  = 100_000
)

// Test is the stratified rank-sum test of van Elteren (1960), Bull. Int. Stat. Inst. 37:351:
// values are ranked within strata, and the rank sums of the strata are added with the weights
// 1/(N_h+1), N_h the values in stratum h, which is most powerful where one shift holds in all.
// With one stratum it is the rank-sum test.
//
// Ties have mid-ranks, and the distribution is that given the ties: which values of a stratum
// are of x is drawn at random. It is exact while it takes few enough sums; then p adds all
// that are as far from the mean. Without two values that differ in a stratum with both
// samples it is NaN with a warning. Errors: [stats.ErrUnequalLengths], [stats.ErrEmpty],
// [stats.ErrNotFinite].
func (s Stratified) Test(side stats.Alternative) (VanElterenResult, error) {
	if err := s.check(); err != nil {
		return VanElterenResult{}, err
	}
	nan := math.NaN()
	r := VanElterenResult{Z: nan, P: nan}
	exact := sums{{0, 1}}
	for _, h := range s.strata() {
		m, n := len(h.X), len(h.Y)
		if m == 0 || n == 0 {
			continue
		}
		r.Compared++
		ranks, groups := Doubled(slices.Concat(h.X, h.Y))
		u := newMannWhitney(ranks, groups, m)
		u.approximate(groups)
		w := 1 / float64(m+n+1)
		r.Statistic, r.Mean, r.Var = r.Statistic+w*u.U, r.Mean+w*u.MeanU, r.Var+w*w*u.VarU
		exact = exact.add(ranks, m, n)
	}
	if !(r.Var > 0) {
		r.Warnings = append(r.Warnings, stats.NoSpread("ratings within strata"))
		return r, nil
	}
	r.Z = (r.Statistic - r.Mean) / math.Sqrt(r.Var)
	r.P = dist.NormalPValue(r.Z, side)
	if exact != nil {
		r.Exact = true
		r.P = exact.p(r.Statistic-r.Mean, side)
	}
	return r, nil
}

func (s Stratified) check() error {
	switch {
	case len(s.X) != len(s.XStratum) || len(s.Y) != len(s.YStratum):
		return stats.ErrUnequalLengths
	case len(s.X) == 0 || len(s.Y) == 0:
		return stats.ErrEmpty
	}
	return stats.CheckSize(s.X, s.Y)
}

// strata parts the ratings, put on one grid so that equal ones are equal.
func (s Stratified) strata() []stats.Stratum {
	grid := stats.Resolution(s.X, s.Y)
	on := func(values []float64) []float64 {
		all := make([]float64, len(values))
		for i, v := range values {
			all[i] = stats.OnGrid(v, grid)
		}
		return all
	}
	return stats.Strata(on(s.X), on(s.Y), s.XStratum, s.YStratum)
}

// sums is the distribution of what the strata so far add up to beyond their mean, in
// steps of 1e-9; nil when there are too many sums.
type sums []sum

type sum struct {
	beyond int64
	chance float64
}

const sumStep = 1e-9

// add convolves with the distribution of one stratum.
func (d sums) add(ranks []int, m, n int) sums {
	if d == nil || len(d)*m*n > mostSums || float64(m+n)*float64(min(m, n))*float64(m)*float64(n) > mostDrawn {
		return nil
	}
	pmf := rankSumPMF(ranks, min(m, n)) // of 2U of the smaller sample
	sign := 1.0
	if m > n {
		sign = -1
	}
	chance := make(map[int64]float64, len(d))
	for k, p := range pmf {
		if p == 0 {
			continue
		}
		beyond := sign * (float64(k) - float64(m*n)) / 2 / float64(m+n+1)
		step := int64(math.Round(beyond / sumStep))
		for _, x := range d {
			chance[x.beyond+step] += p * x.chance
		}
	}
	out := make(sums, 0, len(chance))
	for beyond, p := range chance {
		out = append(out, sum{beyond, p})
	}
	slices.SortFunc(out, func(a, b sum) int { return cmp.Compare(a.beyond, b.beyond) })
	return out
}

// p is the chance of a sum as far as seen on the side asked for. Sums within some steps of
// it count as equal to it: each is rounded once for each stratum.
func (d sums) p(seen float64, side stats.Alternative) float64 {
	const near = 1000 * sumStep
	p := 0.0
	for _, x := range d {
		v := float64(x.beyond) * sumStep
		switch {
		case side == stats.Greater && v >= seen-near, side == stats.Less && v <= seen+near,
			side == stats.TwoSided && math.Abs(v) >= math.Abs(seen)-near:
			p += x.chance
		}
	}
	return min(1, p)
}

// StratifiedShift is the outcome of [Stratified.Shift].
type StratifiedShift struct {
	Estimate float64
	CI       stats.Interval // absent where the strata are too small for the level
	Compared int            // strata with values of both samples
	Warnings []stats.Warning
}

// Shift estimates by how much x lies above y in every stratum: the shift that, taken off x,
// leaves van Elteren's statistic at its mean. That is the median of all differences xᵢ − yⱼ
// within strata, those of stratum h with the weight 1/(N_h+1), as Hodges & Lehmann (1963,
// Ann. Math. Stat. 34:598) invert the rank-sum test. The interval holds the shifts that the
// test does not refuse, by its normal approximation without ties (as Bauer 1972, J. Am. Stat.
// Assoc. 67:687, from memory). Errors: those of [Stratified.Test], [stats.ErrLevel].
func (s Stratified) Shift(level float64) (StratifiedShift, error) {
	level, err := stats.LevelOr95(level)
	if err == nil {
		err = s.check()
	}
	if err != nil {
		return StratifiedShift{}, err
	}
	r := StratifiedShift{Estimate: math.NaN(), CI: stats.NoInterval(level)}
	var all weightedValues
	total, variance := 0.0, 0.0
	for _, h := range s.strata() {
		m, n := float64(len(h.X)), float64(len(h.Y))
		if m == 0 || n == 0 {
			continue
		}
		r.Compared++
		w := 1 / (m + n + 1)
		total, variance = total+w*m*n, variance+w*m*n/12
		ys := counted(h.Y)
		for _, x := range counted(h.X) {
			for _, y := range ys {
				all = append(all, weighted{x.value - y.value, w * x.weight * y.weight})
			}
		}
	}
	if r.Compared == 0 {
		r.Warnings = append(r.Warnings, stats.TooFew(2, "ratings of each sample within a stratum"))
		return r, nil
	}
	all.sort()
	r.Estimate = all.at(total / 2)
	reach := dist.NormalQuantile((1+level)/2) * math.Sqrt(variance)
	if reach >= total/2 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnLevelNotMet,
			Text: "the strata are too small for an interval of the shift at this level"})
		return r, nil
	}
	r.CI = stats.Interval{Lo: all.at(total/2 - reach), Hi: all.at(total/2 + reach), Level: level}
	return r, nil
}

type weighted struct{ value, weight float64 }

type weightedValues []weighted

func (v weightedValues) sort() {
	slices.SortFunc(v, func(a, b weighted) int { return cmp.Compare(a.value, b.value) })
}

// ofRank is the value of rank k, from 0, where each stands as often as it weighs.
func (v weightedValues) ofRank(k int) float64 {
	sum := 0.0
	for _, x := range v {
		if sum += x.weight; sum > float64(k) {
			return x.value
		}
	}
	return math.NaN()
}

// at is the value at which the weights from the lowest on pass an amount: midway between two
// where they reach it just between them.
func (v weightedValues) at(amount float64) float64 {
	sum, slack := 0.0, 1e-9*amount
	for i, x := range v {
		sum += x.weight
		switch {
		case sum > amount+slack || i == len(v)-1:
			return x.value
		case sum >= amount-slack:
			return x.value/2 + v[i+1].value/2
		}
	}
	return math.NaN()
}
