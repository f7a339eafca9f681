package size

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// TwoProportionsPower is the power of comparing two independent proportions
// with n answers in each group, two-sided, by the usual approximations.
type TwoProportionsPower struct {
	N            int
	Arcsine      float64 // Cohen 1988, eq. 6.2.1, both tails
	Normal       float64 // normal approximation, right tail only (Fleiss 1981, eq. 3.14)
	NormalStrict float64 // the same with both tails
}

// PowerTwoProportions returns the power with n answers in each group. Errors:
// [ErrDesign].
func PowerTwoProportions(n int, p1, p2, alpha float64) (TwoProportionsPower, error) {
	if alpha == 0 {
		alpha = 0.05
	}
	if n < 1 || !(p1 >= 0 && p1 <= 1) || !(p2 >= 0 && p2 <= 1) || stats.CheckLevel(alpha) != nil {
		return TwoProportionsPower{}, ErrDesign
	}
	N := float64(n)
	q := dist.NormalQuantile(1 - alpha/2)
	h := math.Abs(2*math.Asin(math.Sqrt(p1))-2*math.Asin(math.Sqrt(p2))) * math.Sqrt(N/2)
	r := TwoProportionsPower{N: n, Arcsine: dist.NormalCDF(h-q) + dist.NormalCDF(-h-q)}
	mean := (p1 + p2) / 2
	null := q * math.Sqrt(2*mean*(1-mean))
	spread := math.Sqrt(p1*(1-p1) + p2*(1-p2))
	gap := math.Sqrt(N) * math.Abs(p1-p2)
	if spread == 0 { // both certain: rejected for sure if they differ by enough
		r.Normal = numeric.Indicator(gap > null)
		r.NormalStrict = r.Normal
		return r, nil
	}
	r.Normal = dist.NormalCDF((gap - null) / spread)
	r.NormalStrict = r.Normal + dist.NormalCDF((-gap-null)/spread)
	return r, nil
}

// smallestN returns the smallest n ≥ from that satisfies a condition which,
// once met, stays met; 0 when none below maxAssessors does.
func smallestN(from int, met func(n int) (bool, error)) (int, error) {
	lo, hi := from-1, from
	for {
		ok, err := met(hi)
		if err != nil {
			return 0, err
		}
		if ok {
			break
		}
		if lo, hi = hi, 2*hi; hi > maxAssessors {
			return 0, nil
		}
	}
	for hi-lo > 1 {
		mid := lo + (hi-lo)/2
		ok, err := met(mid)
		if err != nil {
			return 0, err
		}
		if ok {
			hi = mid
			continue
		}
		lo = mid
	}
	return hi, nil
}
