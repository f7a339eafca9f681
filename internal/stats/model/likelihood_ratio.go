package model

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats/dist"
)

// ErrNotNested marks two fits that a likelihood-ratio test cannot compare.
var ErrNotNested = errors.New("a likelihood-ratio test needs a smaller and a larger model of the same ratings, " +
	"both by the same criterion, and by REML the same fixed effects")

// LRTResult is a likelihood-ratio test of nested models.
type LRTResult struct {
	ChiSq, DF, P float64
	// PBoundary is P for a null hypothesis on the boundary, one more random
	// effect with zero variance: the average of the chi-squared tails with
	// DF and DF−1 (Self & Liang 1987, J. Am. Stat. Assoc. 82, 605–610; Stram
	// & Lee 1994, Biometrics 50, 1171–1177). NaN for fixed effects.
	PBoundary float64
}

// ChiSquaredTailOrNone is the tail area, that of a constant zero for df = 0.
func ChiSquaredTailOrNone(x, df float64) float64 {
	if df > 0 {
		return dist.ChiSquaredSurvival(x, df)
	}
	if x > 0 {
		return 0
	}
	return 1
}

// Compare compares log-likelihoods; rounding may put the smaller model
// ahead by a hair.
func Compare(small, large float64, parametersSmall, parametersLarge int) (LRTResult, error) {
	df := float64(parametersLarge - parametersSmall)
	if df < 1 {
		return LRTResult{}, fmt.Errorf("likelihood ratio with %g degrees of freedom: %w", df, ErrNotNested)
	}
	x := math.Max(0, 2*(large-small))
	return LRTResult{ChiSq: x, DF: df, P: dist.ChiSquaredSurvival(x, df), PBoundary: math.NaN()}, nil
}
