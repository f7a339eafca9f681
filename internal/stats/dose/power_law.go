package dose

import (
	"math"

	"cloche/internal/stats"
)

// PowerLawResult is Stevens' power law: sensation = Constant · stimulus^Exponent.
type PowerLawResult struct {
	N                        int
	Exponent, ExponentSE     float64
	ExponentCI               stats.Interval
	Constant, Log10Constant  float64
	ConstantCI               stats.Interval
	R2, ResidualSDLog10      float64 // on the log–log scale
	StimulusRatioForDoubling float64 // factor on the stimulus that doubles the sensation
	Warnings                 []stats.Warning
}

// PowerLaw fits the power law by least squares on log10–log10 scales; x is the
// stimulus, y the sensation, both above 0; level 0 means 0.95. The interval of
// the constant is that of the intercept, raised from the log scale.
//
// Stevens (1957), Psychol. Rev. 64, 153–181. The errors of fit are taken as
// multiplicative. For several assessors fit each one's, or geometric means:
// points of one assessor are not independent.
func PowerLaw(x, y []float64, level float64) (PowerLawResult, error) {
	if len(x) != len(y) {
		return PowerLawResult{}, stats.ErrUnequalLengths
	}
	lx, err := logs(x)
	if err != nil {
		return PowerLawResult{N: len(x)}, err
	}
	ly, err := logs(y)
	if err != nil {
		return PowerLawResult{N: len(x)}, err
	}
	f, err := FitLine(lx, ly, level)
	if err != nil {
		return PowerLawResult{N: len(x)}, err
	}
	r := PowerLawResult{N: f.N, Exponent: f.Slope, ExponentSE: f.SlopeSE, ExponentCI: f.SlopeCI,
		Log10Constant: f.Intercept, Constant: math.Pow(10, f.Intercept),
		ConstantCI: stats.Interval{Lo: math.Pow(10, f.InterceptCI.Lo), Hi: math.Pow(10, f.InterceptCI.Hi),
			Level: f.InterceptCI.Level},
		R2: f.R2, ResidualSDLog10: f.Sigma, Warnings: f.Warnings}
	r.StimulusRatioForDoubling = math.NaN()
	if r.Exponent != 0 {
		r.StimulusRatioForDoubling = math.Pow(2, 1/r.Exponent)
	}
	return r, nil
}
