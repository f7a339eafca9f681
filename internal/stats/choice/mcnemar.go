package choice

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// McNemarResult is the outcome of [McNemar].
type McNemarResult struct {
	B, C, N int // only the first says yes; only the second; pairs in all

	Chi2, P                   float64 // (b−c)²/(b+c) on 1 df
	Chi2Corrected, PCorrected float64 // with max(0, |b−c|−1)² (Edwards 1948)
	ExactP, MidP              float64 // binomial on b of b+c at ½

	OddsRatio float64        // b/c, conditional maximum likelihood; 0 or +Inf when a count is 0
	OddsCI    stats.Interval // from Clopper–Pearson on b/(b+c)

	Difference float64        // (b−c)/n: proportion of yes to the first less to the second
	WaldCI     stats.Interval // of Difference, simple; rough for small counts
	ScoreCI    stats.Interval // of Difference, Newcombe 1998 (Stat. Med. 17:2635), method 10
	Warnings   []stats.Warning
}

// McNemar compares two yes/no answers of the same assessors (McNemar 1947,
// Psychometrika 12:153). table[i][j] counts assessors with answer i to the
// first and j to the second sample, 0 being yes: table[0][1] = b said yes to
// the first only, table[1][0] = c to the second only. Mid-p: Fagerland,
// Lydersen & Laake 2013 (BMC Med. Res. Methodol. 13:91).
//
// When nobody answers differently (b + c = 0) the tests and the odds ratio
// are NaN with a warning; the difference is 0. Errors: [stats.ErrCounts],
// [stats.ErrEmpty], [stats.ErrLevel].
func McNemar(table [2][2]int, level float64) (McNemarResult, error) {
	level, err := stats.LevelOr95(level)
	if err != nil {
		return McNemarResult{}, err
	}
	n := 0
	for _, row := range table {
		for _, count := range row {
			if count < 0 {
				return McNemarResult{}, stats.ErrCounts
			}
			n += count
		}
	}
	if n == 0 {
		return McNemarResult{}, stats.ErrEmpty
	}
	r := McNemarResult{B: table[0][1], C: table[1][0], N: n}
	r.compare(table, level)
	r.test(level)
	return r, nil
}

func (r *McNemarResult) test(level float64) {
	discordant := r.B + r.C
	if discordant == 0 {
		nan := math.NaN()
		r.Chi2, r.P, r.Chi2Corrected, r.PCorrected, r.ExactP, r.MidP, r.OddsRatio = nan, nan, nan, nan, nan, nan, nan
		r.OddsCI = stats.NoInterval(level)
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnNoDiscordant,
			Text: "nobody answers differently to the two samples, so there is nothing to test"})
		return
	}
	m := float64(discordant)
	gap := math.Abs(float64(r.B - r.C))
	corrected := max(0, gap-1)
	r.Chi2, r.Chi2Corrected = gap*gap/m, corrected*corrected/m
	r.P, r.PCorrected = dist.ChiSquaredSurvival(r.Chi2, 1), dist.ChiSquaredSurvival(r.Chi2Corrected, 1)
	r.ExactP = dist.BinomialPValue(r.B, discordant, 0.5, stats.TwoSided)
	r.MidP = min(1, r.ExactP-dist.BinomialPMF(r.B, discordant, 0.5))
	r.OddsRatio = float64(r.B) / float64(r.C)
	ci := dist.ClopperPearson(r.B, discordant, level)
	r.OddsCI = stats.Interval{Lo: ci.Lo / (1 - ci.Lo), Hi: ci.Hi / (1 - ci.Hi), Level: level}
	if r.B == 0 || r.C == 0 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnZeroCell,
			Text: "all who answer differently do so in one direction, so the odds ratio is bounded on one side only"})
	}
}

// compare fills the difference of the two proportions and its intervals.
func (r *McNemarResult) compare(table [2][2]int, level float64) {
	z := dist.NormalQuantile((1 + level) / 2)
	n, b, c := float64(r.N), float64(r.B), float64(r.C)
	r.Difference = (b - c) / n
	half := z * math.Sqrt(b+c-(b-c)*(b-c)/n) / n
	r.WaldCI = stats.Interval{Lo: r.Difference - half, Hi: r.Difference + half, Level: level}

	a, d := float64(table[0][0]), float64(table[1][1])
	first, second := dist.Wilson(r.B+table[0][0], r.N, z), dist.Wilson(r.C+table[0][0], r.N, z)
	p1, p2 := (a+b)/n, (a+c)/n
	phi := 0.0
	if margins := (a + b) * (c + d) * (a + c) * (b + d); margins > 0 {
		top := a*d - b*c
		if top > 0 {
			top = max(top-n/2, 0)
		}
		phi = top / math.Sqrt(margins)
	}
	below := newcombeSide(p1-first.Lo, second.Hi-p2, phi)
	above := newcombeSide(first.Hi-p1, p2-second.Lo, phi)
	r.ScoreCI = stats.Interval{Lo: r.Difference - below, Hi: r.Difference + above, Level: level}
}

func newcombeSide(u, v, phi float64) float64 {
	return math.Sqrt(max(0, u*u-2*phi*u*v+v*v))
}
