package size

import (
	"fmt"
	"math"
	"sort"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// BinomialDesign is a planned exact binomial test of p0 when the truth is p1.
type BinomialDesign struct {
	P0, P1      float64
	Alpha       float64           // level of the test; 0 means 0.05
	Alternative stats.Alternative // Greater and Less are one-sided; two-sided rejects α/2 in each tail
}

// BinomialPower is the exact power of a binomial test with n answers.
type BinomialPower struct {
	N           int
	Critical    int     // reject from this count on (Greater, TwoSided); n+1 when never
	CriticalLow int     // reject up to this count (Less, TwoSided); −1 when never
	Alpha       float64 // true level: probability of rejecting p0 when it holds
	Power       float64
}

// BinomialSampleSize answers how many answers an exact binomial test needs.
// Exact power is a saw-tooth in n: it falls each time the critical count steps
// up, so the first n that reaches the power may be followed by larger ones
// that do not.
type BinomialSampleSize struct {
	First       BinomialPower // at the first n that reaches the power; N 0 when none does
	Stable      BinomialPower // at the first n from which every larger one searched reaches it
	SearchedTo  int
	Assumptions []string
	Warnings    []stats.Warning
}

func (d BinomialDesign) checked() (BinomialDesign, error) {
	if d.Alpha == 0 {
		d.Alpha = 0.05
	}
	if !(d.P0 > 0 && d.P0 < 1) || !(d.P1 >= 0 && d.P1 <= 1) || stats.CheckLevel(d.Alpha) != nil {
		return d, ErrDesign
	}
	return d, nil
}

// PowerBinomial returns the exact power with n answers. Errors: [ErrDesign].
func PowerBinomial(n int, design BinomialDesign) (BinomialPower, error) {
	d, err := design.checked()
	if err != nil || n < 1 {
		return BinomialPower{}, ErrDesign
	}
	return d.at(n), nil
}

func (d BinomialDesign) at(n int) BinomialPower {
	r := BinomialPower{N: n, Critical: n + 1, CriticalLow: -1}
	tail := d.Alpha
	if d.Alternative == stats.TwoSided {
		tail /= 2
	}
	if d.Alternative != stats.Less {
		r.Critical = criticalCount(n, d.P0, tail)
	}
	if d.Alternative != stats.Greater {
		r.CriticalLow = n - criticalCount(n, 1-d.P0, tail)
	}
	reject := func(p float64) float64 {
		return dist.BinomialSurvival(r.Critical-1, n, p) + dist.BinomialCDF(r.CriticalLow, n, p)
	}
	r.Alpha, r.Power = reject(d.P0), reject(d.P1)
	return r
}

// criticalCount returns the smallest c with P(X ≥ c | n, p) ≤ alpha: n+1 when
// not even n is rare enough. It is sought from where the normal approximation
// has it, in steps that double.
func criticalCount(n int, p, alpha float64) int {
	rare := func(c int) bool { return dist.BinomialSurvival(c-1, n, p) <= alpha }
	lo, hi := 0, n+1 // what lies below lo is not rare, hi is
	near := float64(n)*p + dist.NormalQuantile(1-alpha)*math.Sqrt(float64(n)*p*(1-p))
	at := max(lo, min(hi, int(near)))
	for step := 1; lo < hi; step *= 2 {
		if rare(at) {
			hi = at
			if at -= step; at < lo {
				break
			}
			continue
		}
		lo = at + 1
		if at += step; at >= hi {
			break
		}
	}
	return lo + sort.Search(hi-lo, func(i int) bool { return rare(lo + i) })
}

// fewestAnswers is where the search for a sample size starts: smaller panels
// are no test.
const fewestAnswers = 5

// manyAnswers is from where on the search begins near its end, and a tooth is how far, in
// units of 1/|p1 − p0|, the first and the last crossing of the power lie from each other:
// power falls by the probability of one count, about 0.4/√(n·p·(1−p)), and climbs by about
// |p1 − p0|·0.3/√(n·p·(1−p))/2 an answer, so that about three are enough. No more than
// mostAround numbers on each side are searched: of more than twenty thousand answers, a tooth
// is no longer of any use.
const (
	manyAnswers = 5000
	tooth       = 6
	mostAround  = 500
)

// Binomial searches n from 5 to upTo (0: twice the first n that
// reaches the power, at least 400) for the first and the stable sample size
// (saw-tooth: Chernick & Liu 2002, Am. Stat. 56:149). Where thousands of answers are
// needed and upTo is 0, only numbers near the one at which the power is crossed are searched.
// When the power is not reached, or not kept, N is 0 with a warning. Errors: [ErrDesign].
func Binomial(power float64, upTo int, design BinomialDesign) (BinomialSampleSize, error) {
	d, err := design.checked()
	if err != nil || stats.CheckLevel(power) != nil || upTo < 0 {
		return BinomialSampleSize{}, ErrDesign
	}
	s := BinomialSampleSize{SearchedTo: upTo, Assumptions: []string{
		fmt.Sprintf("answers are independent and the true proportion is %.3g", d.P1),
		fmt.Sprintf("the test of %.3g is exact and done at the %.3g %% level", d.P0, 100*d.Alpha)}}
	from, doubles := fewestAnswers, upTo == 0
	if doubles {
		s.SearchedTo = d.reach(power)
		if crossed := d.crosses(power, s.SearchedTo); crossed > manyAnswers {
			apart := int(min(mostAround, math.Ceil(tooth/math.Abs(d.P1-d.P0))))
			from, s.SearchedTo, doubles = max(from, crossed-apart), crossed+apart, false
		}
	}
	for n := from; n <= s.SearchedTo; n++ {
		r := d.at(n)
		if r.Power < power {
			s.Stable = BinomialPower{}
			continue
		}
		if s.First.N == 0 {
			s.First = r
			if doubles {
				s.SearchedTo = max(400, 2*n)
			}
		}
		if s.Stable.N == 0 {
			s.Stable = r
		}
	}
	switch {
	case s.First.N == 0 || s.Stable.N == 0:
		s.Warnings = append(s.Warnings, warnNotReached())
	case s.First.N != s.Stable.N:
		s.Warnings = append(s.Warnings, stats.Warning{Code: stats.WarnSawTooth, Text: fmt.Sprintf(
			"%d answers reach the power but some larger numbers do not; from %d on every number does", s.First.N,
			s.Stable.N)})
	}
	return s, nil
}

// crosses is a number of answers up to most at which the power is crossed, of several one;
// most where it is not reached.
func (d BinomialDesign) crosses(power float64, most int) int {
	return sort.Search(most, func(n int) bool { return n >= fewestAnswers && d.at(n).Power >= power })
}

// reach is a number of answers by which the power must have been reached, from
// the normal approximation with room to spare; 0 effect gives up at once.
func (d BinomialDesign) reach(power float64) int {
	gap := math.Abs(d.P1 - d.P0)
	if gap == 0 || d.Alternative == stats.Greater && d.P1 < d.P0 || d.Alternative == stats.Less && d.P1 > d.P0 {
		return 400
	}
	z := dist.NormalQuantile(1-d.Alpha/2)*math.Sqrt(d.P0*(1-d.P0)) +
		math.Max(0, dist.NormalQuantile(power))*math.Sqrt(d.P1*(1-d.P1))
	return int(min(1e6, 400+3*z*z/(gap*gap)))
}

// DetectableShare returns the true proportion nearest P0 that a binomial test
// with n answers finds with the power, on the side of the alternative (above
// P0 when two-sided): NaN when not even certainty does. The P1 of design is
// not used. Errors: [ErrDesign].
func DetectableShare(n int, power float64, design BinomialDesign) (float64, error) {
	design.P1 = design.P0
	d, err := design.checked()
	if err != nil || stats.CheckLevel(power) != nil || n < 1 || power <= d.Alpha {
		return math.NaN(), ErrDesign
	}
	far := 1.0
	if d.Alternative == stats.Less {
		far = 0
	}
	reached := func(share float64) bool {
		d.P1 = d.P0 + share*(far-d.P0)
		return d.at(n).Power >= power
	}
	if !reached(1) {
		return math.NaN(), nil
	}
	share := numeric.Bisect(0, 1, func(share float64) bool { return !reached(share) })
	return d.P0 + share*(far-d.P0), nil
}
