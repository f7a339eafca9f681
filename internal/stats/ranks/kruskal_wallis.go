package ranks

import (
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// KruskalWallisResult is what [KruskalWallis] finds.
type KruskalWallisResult struct {
	ChiSq, DF, P float64 // H corrected for ties; NaN when all values are equal
	MeanRanks    []float64
	Warnings     []stats.Warning
}

// KruskalWallis tests whether k independent groups differ in rank: Kruskal &
// Wallis (1952), J. Am. Stat. Assoc. 47, 583–621, corrected for ties, p from
// the chi-squared distribution. No group may be empty.
func KruskalWallis(groups [][]float64) (KruskalWallisResult, error) {
	if len(groups) < 2 {
		return KruskalWallisResult{}, fmt.Errorf("kruskal–wallis test: %w", stats.ErrFewSamples)
	}
	for i, g := range groups {
		if len(g) == 0 {
			return KruskalWallisResult{}, fmt.Errorf("kruskal–wallis test: group %d: %w", i+1, stats.ErrEmpty)
		}
	}
	if err := stats.CheckUsable(groups...); err != nil {
		return KruskalWallisResult{}, fmt.Errorf("kruskal–wallis test: %w", err)
	}
	var all []float64
	grid := stats.Resolution(groups...)
	for _, g := range groups {
		for _, v := range g {
			all = append(all, stats.OnGrid(v, grid))
		}
	}
	ranks, ties := Doubled(all)
	r := KruskalWallisResult{ChiSq: math.NaN(), DF: float64(len(groups) - 1), P: math.NaN()}
	// Doubled ranks are whole: sums stay exact far beyond any panel's size.
	n := float64(len(all))
	between, next := 0.0, 0
	for _, g := range groups {
		sum := 0.0
		for range g {
			sum += float64(ranks[next])
			next++
		}
		mean := sum / float64(len(g))
		r.MeanRanks = append(r.MeanRanks, mean/2)
		d := mean - (n + 1)
		between += float64(len(g)) * d * d
	}
	total := 0.0
	for _, rank := range ranks {
		d := float64(rank) - (n + 1)
		total += d * d
	}
	if len(ties) == 1 {
		r.Warnings = append(r.Warnings, stats.NoSpread("values"))
		return r, nil
	}
	r.ChiSq = (n - 1) * between / total
	r.P = dist.ChiSquaredSurvival(r.ChiSq, r.DF)
	return r, nil
}
