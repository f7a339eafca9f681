package choice

import (
	"math"

	"cloche/internal/stats"
)

// TwoCounts are the successes among two groups of answers, such as those of one assessor.
type TwoCounts struct{ X1, N1, X2, N2 int }

// MoreInFirst is the exact one-sided p that successes fall into the first group more
// often than chance, within strata: each stratum's margins are held, and the
// hypergeometric distributions of the strata's first counts are convolved. With one
// stratum it is Fisher's test. Strata in which nothing can vary say nothing; where none
// can, p is 1.
//
// Cochran (1954), Biometrics 10, 417; Gart (1970), Biometrika 57, 471: the exact
// conditional test of a common odds ratio of 1.
//
// Errors: [stats.ErrEmpty] without strata, [stats.ErrCounts].
func MoreInFirst(strata []TwoCounts) (p float64, err error) {
	if len(strata) == 0 {
		return math.NaN(), stats.ErrEmpty
	}
	total, observed := []float64{1}, 0
	for _, c := range strata {
		if c.X1 < 0 || c.X1 > c.N1 || c.X2 < 0 || c.X2 > c.N2 {
			return math.NaN(), stats.ErrCounts
		}
		m := c.X1 + c.X2
		lo := max(0, m-c.N2)
		own := make([]float64, min(m, c.N1)-lo+1)
		for i := range own {
			k := lo + i
			own[i] = math.Exp(logChoose(c.N1, k) + logChoose(c.N2, m-k) - logChoose(c.N1+c.N2, m))
		}
		observed += c.X1 - lo
		next := make([]float64, len(total)+len(own)-1)
		for i, a := range total {
			for j, b := range own {
				next[i+j] += a * b
			}
		}
		total = next
	}
	for _, q := range total[observed:] {
		p += q
	}
	return math.Min(1, p), nil
}
