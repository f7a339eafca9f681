package choice

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// TwoProportionsResult is the outcome of [TwoProportions].
type TwoProportionsResult struct {
	N1, N2 int
	P1, P2 float64 // proportions of yes in the two groups

	Difference float64        // P1 − P2
	CI         stats.Interval // of Difference: Newcombe 1998 (Stat. Med. 17:873), method 10, from two Wilson intervals

	Chi2, P               float64        // Pearson's on 1 df
	Chi2Yates, PYates     float64        // with Yates' correction, at most |ad−bc|
	LeastExpected         float64        // least expected count
	Fisher, Greater, Less float64        // Fisher's exact p: two-sided, P1 greater, P1 less
	OddsRatio             float64        // ad/(bc); 0, +Inf or NaN when a count is 0
	OddsCI                stats.Interval // exact, conditional on the margins
	Warnings              []stats.Warning
}

// TwoProportions compares the shares of yes in two independent groups.
// table[i] = {yes, no} of group i. Pearson's χ² (1900) without and with Yates'
// correction (1934); Fisher's exact test (1935), whose two-sided p adds all
// tables no more likely than the one seen; the odds ratio with the exact
// conditional interval (Cornfield 1956; Gart 1970), which inverts the two
// one-sided exact tests.
//
// When all answers are alike the tests are NaN with a warning. Errors:
// [stats.ErrCounts], [stats.ErrEmpty] when a group is empty, [stats.ErrLevel].
func TwoProportions(table [2][2]int, level float64) (TwoProportionsResult, error) {
	level, err := stats.LevelOr95(level)
	if err != nil {
		return TwoProportionsResult{}, err
	}
	for _, row := range table {
		if row[0] < 0 || row[1] < 0 {
			return TwoProportionsResult{}, stats.ErrCounts
		}
		if row[0]+row[1] == 0 {
			return TwoProportionsResult{}, stats.ErrEmpty
		}
	}
	a, b, c, d := float64(table[0][0]), float64(table[0][1]), float64(table[1][0]), float64(table[1][1])
	r := TwoProportionsResult{N1: table[0][0] + table[0][1], N2: table[1][0] + table[1][1]}
	r.P1, r.P2 = a/(a+b), c/(c+d)
	r.Difference = r.P1 - r.P2
	z := dist.NormalQuantile((1 + level) / 2)
	w1, w2 := dist.Wilson(table[0][0], r.N1, z), dist.Wilson(table[1][0], r.N2, z)
	r.CI = stats.Interval{Lo: r.Difference - math.Hypot(r.P1-w1.Lo, w2.Hi-r.P2), Hi: r.Difference + math.Hypot(w1.Hi-r.P1, r.P2-w2.Lo), Level: level}
	if a+c == 0 || b+d == 0 {
		nan := math.NaN()
		r.Chi2, r.P, r.Chi2Yates, r.PYates, r.Fisher, r.Greater, r.Less, r.OddsRatio = nan, nan, nan, nan, nan, nan, nan, nan
		r.OddsCI = stats.NoInterval(level)
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnNoDiscordant, Text: "all answers of both groups are alike, so there is nothing to test"})
		return r, nil
	}
	r.pearson(a, b, c, d)
	r.exact(table, level)
	r.OddsRatio = a * d / (b * c)
	if a*b*c*d == 0 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnZeroCell, Text: "one answer does not occur in one group, so the odds ratio is bounded on one side only"})
	}
	return r, nil
}

func (r *TwoProportionsResult) pearson(a, b, c, d float64) {
	n := a + b + c + d
	margins := (a + b) * (c + d) * (a + c) * (b + d)
	gap := math.Abs(a*d - b*c)
	r.Chi2 = n * gap / margins * gap
	corrected := max(0, gap-n/2)
	r.Chi2Yates = n * corrected / margins * corrected
	r.P, r.PYates = dist.ChiSquaredSurvival(r.Chi2, 1), dist.ChiSquaredSurvival(r.Chi2Yates, 1)
	r.LeastExpected = min(a+b, c+d) * min(a+c, b+d) / n
	if r.LeastExpected < 5 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnLowCounts, Text: "an expected count is below 5: read Fisher's exact p, not that of chi-square"})
	}
}

func (r *TwoProportionsResult) exact(table [2][2]int, level float64) {
	h := newHypergeometric(table)
	seen := table[0][0]
	p := h.pmf(0)
	limit := p[seen-h.lo] * (1 + 1e-7)
	for i, v := range p {
		if v <= limit {
			r.Fisher += v
		}
		if i+h.lo <= seen {
			r.Less += v
		}
		if i+h.lo >= seen {
			r.Greater += v
		}
	}
	r.Fisher, r.Less, r.Greater = min(1, r.Fisher), min(1, r.Less), min(1, r.Greater)
	r.OddsCI = h.oddsInterval(seen, level)
}
