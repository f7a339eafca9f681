package stats

import "fmt"

// OrdinalLRT tests whether the larger of two nested cumulative link models fits
// better by more than chance. Both must be fits of the same ratings by the
// same approximation; that the smaller one is nested in the larger one is for
// the caller to see to.
func OrdinalLRT(small, large *OrdinalFit) (LRTResult, error) {
	if small.N != large.N || small.Points > 0 && large.Points > 0 && small.Points != large.Points {
		return LRTResult{}, fmt.Errorf("likelihood ratio of ordinal models: %w", ErrNotNested)
	}
	r, err := likelihoodRatio(small.LogLik, large.LogLik, small.Parameters, large.Parameters)
	if err == nil && small.Points == 0 && large.Points > 0 { // the variance between assessors is on trial
		r.PBoundary = (r.P + chiSquaredTailOrNone(r.ChiSq, r.DF-1)) / 2
	}
	return r, err
}
