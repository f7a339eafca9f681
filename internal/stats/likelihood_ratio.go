package stats

import (
	"errors"
	"fmt"
	"math"
)

// ErrNotNested marks two fits that a likelihood-ratio test cannot compare.
var ErrNotNested = errors.New("a likelihood-ratio test needs a smaller and a larger model of the same ratings, both by the same criterion, and by REML the same fixed effects")

// LRTResult is a likelihood-ratio test of nested models.
type LRTResult struct {
	ChiSq, DF, P float64
	// PBoundary is P for a null hypothesis on the boundary, one more random
	// effect with zero variance: the average of the chi-squared tails with
	// DF and DF−1 (Self & Liang 1987, J. Am. Stat. Assoc. 82, 605–610; Stram
	// & Lee 1994, Biometrics 50, 1171–1177). NaN for fixed effects.
	PBoundary float64
}

// LikelihoodRatio tests whether the larger of two mixed models fits better by
// more than chance. Fixed effects are compared by maximum likelihood fits,
// random terms by either.
func LikelihoodRatio(small, large *MixedFit) (LRTResult, error) {
	sameFixed := len(small.Fixed) == len(large.Fixed)
	for i := 0; sameFixed && i < len(small.Fixed); i++ {
		sameFixed = small.Fixed[i].Name == large.Fixed[i].Name
	}
	if small.NObs != large.NObs || small.ML != large.ML || !small.ML && !sameFixed {
		return LRTResult{}, fmt.Errorf("likelihood ratio: %w", ErrNotNested)
	}
	r, err := likelihoodRatio(small.LogLik, large.LogLik, small.Parameters, large.Parameters)
	if err == nil && sameFixed {
		r.PBoundary = (r.P + chiSquaredTailOrNone(r.ChiSq, r.DF-1)) / 2
	}
	return r, err
}

// chiSquaredTailOrNone is the tail area, that of a constant zero for df = 0.
func chiSquaredTailOrNone(x, df float64) float64 {
	if df > 0 {
		return chiSquaredSurvival(x, df)
	}
	if x > 0 {
		return 0
	}
	return 1
}

// likelihoodRatio compares log-likelihoods; rounding may put the smaller model
// ahead by a hair.
func likelihoodRatio(small, large float64, parametersSmall, parametersLarge int) (LRTResult, error) {
	df := float64(parametersLarge - parametersSmall)
	if df < 1 {
		return LRTResult{}, fmt.Errorf("likelihood ratio with %g degrees of freedom: %w", df, ErrNotNested)
	}
	x := math.Max(0, 2*(large-small))
	return LRTResult{ChiSq: x, DF: df, P: chiSquaredSurvival(x, df), PBoundary: math.NaN()}, nil
}
