package meta

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// ErrSpread is returned for a study whose spread is not above zero or that has fewer than
// two people.
var ErrSpread = errors.New("a spread needs two people or more who do not all answer alike")

// StudySpread is how far the answers of one study scatter.
type StudySpread struct {
	SD float64 // above 0
	DF float64 // degrees of freedom it rests on, at least 1
}

// SpreadResult is what studies say of the spread of the next one.
type SpreadResult struct {
	PooledSD, PooledDF float64   // if all scatter alike
	Bartlett, P        float64   // test that they do; NaN for one study
	PriorDF, PriorSD   float64   // the studies' own spreads; PriorDF +Inf: no more apart than chance puts them
	Shrunken           []float64 // each study’s own spread, drawn towards that of all, in their order
}

// Spreads describes how far answers scatter in studies of one kind: s² ~ s₀²·F(ν, d₀), by the
// moments of log s² (Smyth 2004, Stat. Appl. Genet. Mol. Biol. 3, article 3, section 6.2;
// from memory). Bartlett's test has k−1 degrees of freedom (Bartlett 1937, from memory).
//
// Errors: [stats.ErrEmpty], [ErrSpread].
func Spreads(studies []StudySpread) (SpreadResult, error) {
	if len(studies) == 0 {
		return SpreadResult{}, stats.ErrEmpty
	}
	r := SpreadResult{PriorDF: math.Inf(1), Bartlett: math.NaN(), P: math.NaN()}
	squares := 0.
	for i, s := range studies {
		if !(s.SD > 0) || math.IsInf(s.SD, 1) || !(s.DF >= 1) || math.IsInf(s.DF, 1) {
			return SpreadResult{}, fmt.Errorf("study %d, spread %g with %g degrees of freedom: %w", i+1, s.SD, s.DF,
				ErrSpread)
		}
		squares += s.SD * s.SD * s.DF
		r.PooledDF += s.DF
	}
	r.PooledSD = math.Sqrt(squares / r.PooledDF)
	r.PriorSD = r.PooledSD
	if len(studies) > 1 {
		r.Bartlett = bartlett(studies, r)
		r.P = dist.ChiSquaredSurvival(r.Bartlett, float64(len(studies)-1))
		r.prior(studies)
	}
	for _, s := range studies {
		own := r.PriorSD
		if !math.IsInf(r.PriorDF, 1) {
			own = math.Sqrt((r.PriorDF*r.PriorSD*r.PriorSD + s.DF*s.SD*s.SD) / (r.PriorDF + s.DF))
		}
		r.Shrunken = append(r.Shrunken, own)
	}
	return r, nil
}

func bartlett(studies []StudySpread, r SpreadResult) float64 {
	sum, parts := 0., 0.
	for _, s := range studies {
		sum += s.DF * 2 * math.Log(r.PooledSD/s.SD)
		parts += 1 / s.DF
	}
	return sum / (1 + (parts-1/r.PooledDF)/(3*float64(len(studies)-1)))
}

// prior fits d₀ and s₀ to the studies.
func (r *SpreadResult) prior(studies []StudySpread) {
	logs, noise := make([]float64, len(studies)), 0.
	for i, s := range studies {
		half := s.DF / 2
		logs[i] = 2*math.Log(s.SD) - mathext.Digamma(half) + math.Log(half)
		noise += trigamma(half) / float64(len(studies))
	}
	apart := stats.Variance(logs) - noise
	if !(apart > 0) {
		return
	}
	half := inverseTrigamma(apart)
	r.PriorDF = 2 * half
	r.PriorSD = math.Exp((stats.Mean(logs) + mathext.Digamma(half) - math.Log(half)) / 2)
}

// Next is the spread that the next study stays below with probability p.
func (r SpreadResult) Next(p float64) float64 {
	if math.IsInf(r.PriorDF, 1) {
		return r.PriorSD
	}
	return r.PriorSD * math.Sqrt(r.PriorDF/distuv.ChiSquared{K: r.PriorDF}.Quantile(1-p))
}

func trigamma(x float64) float64 { return mathext.Zeta(2, x) }

// inverseTrigamma is the x at which trigamma, which falls, is y > 0.
func inverseTrigamma(y float64) float64 {
	lo, hi := 1e-8, 1.
	for trigamma(hi) > y {
		hi *= 2
	}
	return numeric.Bisect(lo, hi, func(x float64) bool { return trigamma(x) > y })
}
