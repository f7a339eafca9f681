package mixed

import (
	"fmt"

	"cloche/internal/stats/model"
)

// LikelihoodRatio tests whether the larger of two mixed models fits better by
// more than chance. Fixed effects are compared by maximum likelihood fits,
// random terms by either.
func LikelihoodRatio(small, large *Result) (model.LRTResult, error) {
	sameFixed := len(small.Fixed) == len(large.Fixed)
	for i := 0; sameFixed && i < len(small.Fixed); i++ {
		sameFixed = small.Fixed[i].Name == large.Fixed[i].Name
	}
	if small.NObs != large.NObs || small.ML != large.ML || !small.ML && !sameFixed {
		return model.LRTResult{}, fmt.Errorf("likelihood ratio: %w", model.ErrNotNested)
	}
	r, err := model.Compare(small.LogLik, large.LogLik, small.Parameters, large.Parameters)
	if err == nil && sameFixed {
		r.PBoundary = (r.P + model.ChiSquaredTailOrNone(r.ChiSq, r.DF-1)) / 2
	}
	return r, err
}
