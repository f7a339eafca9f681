package lottery

import (
	"errors"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// MonteCarlo is a p-value from random draws, of which so many reach what was found.
type MonteCarlo struct {
	P  float64        // (b + 1)/(m + 1), valid whatever m
	CI stats.Interval // of the p that all draws would give
	SE float64        // of b/m
}

// MonteCarloP is the p-value of b draws of m that reach what was found, with the interval of
// Clopper & Pearson (1934) for the p of all draws. (b + 1)/(m + 1): Davison & Hinkley (1997),
// Bootstrap Methods and their Application, sect. 4.2, from memory; Phipson & Smyth (2010).
// Errors: numbers that are no count of draws.
func MonteCarloP(reached, draws int, level float64) (MonteCarlo, error) {
	level, err := stats.LevelOr95(level)
	if err != nil {
		return MonteCarlo{}, err
	}
	if draws < 1 || reached < 0 || reached > draws {
		return MonteCarlo{}, errors.New("of one draw or more, none to all reach what was found")
	}
	share := float64(reached) / float64(draws)
	return MonteCarlo{P: float64(reached+1) / float64(draws+1), CI: dist.ClopperPearson(reached, draws, level),
		SE: math.Sqrt(share * (1 - share) / float64(draws))}, nil
}

// DrawsFor is how many random draws give a p to so much on either side, 19 times in 20: by the
// normal approximation of a binomial share.
func DrawsFor(p, halfWidth float64) int {
	z := dist.NormalQuantile(0.975)
	return int(math.Ceil(z * z * p * (1 - p) / (halfWidth * halfWidth)))
}

// PInterval holds the p on a side that all draws would give; the p itself where all were
// counted, and no interval where there is no p.
func (r *Result) PInterval(side stats.Alternative, level float64) stats.Interval {
	p := [...]float64{stats.TwoSided: r.TwoSided, stats.Greater: r.Greater, stats.Less: r.Less}[side]
	if math.IsNaN(p) {
		return stats.NoInterval(level)
	}
	if r.Exact {
		return stats.Interval{Lo: p, Hi: p, Level: level}
	}
	factor := 1.0
	if side == stats.TwoSided {
		p, factor = min(r.Greater, r.Less), 2
	}
	reached := int(math.Round(p*float64(r.Draws+1))) - 1
	m, err := MonteCarloP(min(max(0, reached), r.Draws), r.Draws, level)
	if err != nil {
		return stats.NoInterval(level)
	}
	return stats.Interval{Lo: min(1, factor*m.CI.Lo), Hi: min(1, factor*m.CI.Hi), Level: level}
}

// Decided reports whether the p that all draws would give lies on one side of alpha for sure,
// at 99.9 %: looking again after more draws costs nothing that matters then.
func (r *Result) Decided(side stats.Alternative, alpha float64) bool {
	ci := r.PInterval(side, 0.999)
	return r.Exact || ci.Absent() || ci.Hi < alpha || ci.Lo >= alpha
}
