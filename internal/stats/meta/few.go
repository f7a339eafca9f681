package meta

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"

	"cloche/internal/stats"
	"cloche/internal/stats/numeric"
)

// ErrTauScale is returned for a scale of the prior of τ that is not above zero.
var ErrTauScale = errors.New("the scale of the prior must be above zero")

// FewResult is what a few studies say together, by the posterior of their random-effects
// model.
type FewResult struct {
	Mean, SD   float64        // of the mean effect
	CI         stats.Interval // equal-tailed
	AboveZero  float64        // probability that the mean effect is above 0
	Prediction stats.Interval // of the true effect of a further study
	TauMean    float64        // of the standard deviation of the true effects
	Shrunken   []float64      // mean of each study's own effect, in their order
}

// Few combines two studies or more by a random-effects model with a flat prior on the mean
// and, on the standard deviation τ of the true effects between studies, a half-normal prior
// of a given scale, in units of the estimates. For a few studies τ is hardly known, and an
// interval by Student's t with one or two degrees of freedom says nothing: the prior says
// what is known without them (Röver 2020, J. Stat. Softw. 93(6), from memory; Spiegelhalter,
// Abrams & Myles 2004, section 5.7.3, from memory). The posterior of τ is integrated
// numerically; everything else is a mixture of normals over it. level 0 means 0.95.
//
// Errors: [stats.ErrEmpty] for fewer than two studies, [ErrVariance], [ErrTauScale].
func Few(studies []Study, tauScale, level float64) (FewResult, error) {
	level, err := stats.LevelOr95(level)
	if err = errors.Join(err, checkStudies(studies)); err != nil {
		return FewResult{}, err
	}
	if len(studies) < 2 {
		return FewResult{}, fmt.Errorf("one study: %w", stats.ErrEmpty)
	}
	if !(tauScale > 0) || math.IsInf(tauScale, 1) {
		return FewResult{}, fmt.Errorf("scale %g: %w", tauScale, ErrTauScale)
	}
	m := posterior(studySet{studies: studies}, tauScale)
	r := FewResult{Shrunken: make([]float64, len(studies))}
	for _, n := range m {
		r.Mean += n.weight * n.mean
		r.TauMean += n.weight * n.tau
		r.AboveZero += n.weight * math.Erfc(-n.mean/math.Sqrt(2*n.variance)) / 2
		for i, s := range studies {
			r.Shrunken[i] += n.weight * (n.tau*n.tau*s.Estimate + s.Variance*n.mean) / (n.tau*n.tau + s.Variance)
		}
	}
	for _, n := range m {
		r.SD += n.weight * (n.variance + (n.mean-r.Mean)*(n.mean-r.Mean))
	}
	r.SD, r.AboveZero = math.Sqrt(r.SD), math.Min(1, r.AboveZero) // rounding
	r.CI = m.interval(level, m.meanVariance)
	r.Prediction = m.interval(level, func(n tauNode) float64 { return n.variance + n.tau*n.tau })
	return r, nil
}

// tauNode is a value of τ with its share of the posterior, and mean and variance of the
// mean effect there.
type tauNode struct{ tau, weight, mean, variance float64 }

type tauMixture []tauNode

// posterior integrates over τ by Gauss and Legendre's rule on pieces that grow from a
// hundredth of what tells studies apart to nine times the scale of the prior, beyond which
// lie 1e-18 of it.
func posterior(s studySet, scale float64) tauMixture {
	const perPiece, growth = 12, 2
	least := scale
	for _, x := range s.studies {
		least = math.Min(least, math.Sqrt(x.Variance))
	}
	var m tauMixture
	x, w := make([]float64, perPiece), make([]float64, perPiece)
	highest := math.Inf(-1)
	for lo, hi := 0., least/100; lo < 9*scale; lo, hi = hi, hi*growth {
		quad.Legendre{}.FixedLocations(x, w, lo, math.Min(hi, 9*scale))
		for i, tau := range x {
			sum, mean := s.weighted(tau * tau)
			log := s.remlLogLik(tau*tau) - tau*tau/(2*scale*scale) + math.Log(w[i])
			highest = math.Max(highest, log)
			m = append(m, tauNode{tau, log, mean, 1 / sum})
		}
	}
	total := 0.
	for i := range m {
		m[i].weight = math.Exp(m[i].weight - highest)
		total += m[i].weight
	}
	for i := range m {
		m[i].weight /= total
	}
	return m
}

func (tauMixture) meanVariance(n tauNode) float64 { return n.variance }

// below is the probability that what has a variance at each τ lies below v.
func (m tauMixture) below(v float64, variance func(tauNode) float64) float64 {
	p := 0.
	for _, n := range m {
		p += n.weight * math.Erfc((n.mean-v)/math.Sqrt(2*variance(n))) / 2
	}
	return p
}

func (m tauMixture) interval(level float64, variance func(tauNode) float64) stats.Interval {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, n := range m { // 10 standard deviations around every one of them
		d := 10 * math.Sqrt(variance(n))
		lo, hi = math.Min(lo, n.mean-d), math.Max(hi, n.mean+d)
	}
	at := func(p float64) float64 {
		return numeric.Bisect(lo, hi, func(v float64) bool { return m.below(v, variance) < p })
	}
	return stats.Interval{Lo: at((1 - level) / 2), Hi: at((1 + level) / 2), Level: level}
}

// tau2Interval is the interval of τ² at whose ends Cochran's Q is a quantile of its
// distribution: Viechtbauer (2007), Stat. Med. 26, 37–52 (from memory).
func (s studySet) tau2Interval() stats.Interval {
	df := float64(len(s.studies) - 1)
	at := func(p float64) float64 {
		target := distuv.ChiSquared{K: df}.Quantile(p)
		if s.spread(0) <= target {
			return 0
		}
		hi := s.scale()
		for s.spread(hi) > target {
			hi *= 2
		}
		return numeric.Bisect(0, hi, func(t float64) bool { return s.spread(t) > target })
	}
	return stats.Interval{Lo: at((1 + s.level) / 2), Hi: at((1 - s.level) / 2), Level: s.level}
}
