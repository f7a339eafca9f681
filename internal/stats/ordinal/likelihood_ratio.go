package ordinal

import (
	"fmt"

	"cloche/internal/stats/model"
)

// LikelihoodRatio tests whether the larger of two nested cumulative link models fits
// better by more than chance. Both must be fits of the same ratings by the
// same approximation; that the smaller one is nested in the larger one is for
// the caller to see to.
func LikelihoodRatio(small, large *Result) (model.LRTResult, error) {
	if small.N != large.N || small.Points > 0 && large.Points > 0 && small.Points != large.Points {
		return model.LRTResult{}, fmt.Errorf("likelihood ratio of ordinal models: %w", model.ErrNotNested)
	}
	r, err := model.Compare(small.LogLik, large.LogLik, small.Parameters, large.Parameters)
	if err == nil && small.Points == 0 && large.Points > 0 { // the variance between assessors is on trial
		r.PBoundary = (r.P + model.ChiSquaredTailOrNone(r.ChiSq, r.DF-1)) / 2
	}
	return r, err
}
