package dose

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// WarnSlopeUnclear marks an inverse prediction whose slope is not clearly
// different from 0, so that its Fieller set is not a finite interval.
const WarnSlopeUnclear = "slope-unclear"

// CalibrationOptions asks for more than the defaults.
type CalibrationOptions struct {
	Level    float64 // 0 means 0.95
	Readings int     // new readings whose mean is y0; 0 means 1
}

// CalibrationResult is the stimulus x at which a reading y0 is expected.
type CalibrationResult struct {
	Fit     LineFit
	X0      float64        // estimate; NaN for slope 0
	G       float64        // t²s²/(b²Sxx): Fieller's g, finite interval only below 1
	CI      stats.Interval // Fieller; NaN when G ≥ 1
	DeltaSE float64        // by the delta method; NaN when G ≥ 1
	DeltaCI stats.Interval

	Warnings []stats.Warning
}

// InversePrediction finds the x at which the mean of o.Readings new readings
// is y0, from the line through (x, y), with Fieller's interval.
//
// Fieller (1954), J. R. Stat. Soc. B 16, 175–185; formulas as in Draper &
// Smith (1998), Applied Regression Analysis, 3.2. When the slope does not
// differ from 0 at the level (G ≥ 1) no finite interval exists: interval and
// error are marked absent.
func InversePrediction(x, y []float64, y0 float64, o CalibrationOptions) (CalibrationResult, error) {
	if o.Readings == 0 {
		o.Readings = 1
	}
	if o.Readings < 0 {
		return CalibrationResult{}, fmt.Errorf("%d readings: at least 1 is needed", o.Readings)
	}
	level, errLevel := stats.LevelOr95(o.Level)
	fit, err := FitLine(x, y, o.Level)
	if err = errors.Join(err, errLevel, stats.CheckUsable([]float64{y0})); err != nil {
		return CalibrationResult{Fit: fit}, err
	}
	nan := math.NaN()
	r := CalibrationResult{fit, nan, nan, stats.NoInterval(level), nan, stats.NoInterval(level), fit.Warnings}
	if fit.Slope != 0 {
		r.X0 = fit.meanX + (y0-fit.meanY)/fit.Slope
	}
	if fit.N < 3 {
		return r, nil
	}
	n, m := float64(fit.N), float64(o.Readings)
	t := dist.TQuantile((1+level)/2, n-2)
	s, b := fit.Sigma, fit.Slope
	r.G = t * t * s * s / (b * b * fit.sxx)
	d := (y0 - fit.meanY) / b
	if !(r.G < 1) || math.IsInf(d*d, 1) {
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnSlopeUnclear,
			Text: "The readings do not clearly rise or fall with the stimulus, so no finite interval for the " +
				"stimulus exists; widen its range or add readings."})
		return r, nil
	}
	h := t * s / math.Abs(b) * math.Sqrt(d*d/fit.sxx+(1-r.G)*(1/m+1/n))
	r.CI = stats.Interval{Lo: fit.meanX + (d-h)/(1-r.G), Hi: fit.meanX + (d+h)/(1-r.G), Level: level}
	r.DeltaSE = s / math.Abs(b) * math.Sqrt(1/m+1/n+d*d/fit.sxx)
	r.DeltaCI = stats.Interval{Lo: r.X0 - t*r.DeltaSE, Hi: r.X0 + t*r.DeltaSE, Level: level}
	return r, nil
}
