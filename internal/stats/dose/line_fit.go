package dose

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// ErrConstant is returned when a predictor does not vary.
var ErrConstant = errors.New("the predictor does not vary")

// WarnNoResidualDF marks a line through two points: no error can be estimated.
const WarnNoResidualDF = "no-residual-df"

// LineFit is a least-squares line y = Intercept + Slope·x.
type LineFit struct {
	N                    int
	Intercept, Slope     float64
	InterceptSE, SlopeSE float64 // NaN for two points
	InterceptCI, SlopeCI stats.Interval
	R2                   float64 // NaN when y does not vary
	Sigma                float64 // residual standard deviation, n−2 df; NaN for two points
	T, P                 float64 // test of slope 0
	meanX, meanY, sxx    float64
	Warnings             []stats.Warning
}

// FitLine fits a straight line by least squares; level 0 means 0.95.
// Textbook formulas with centred sums of squares.
//
// One point or equal x: [ErrConstant]. Two points: the line without errors.
func FitLine(x, y []float64, level float64) (LineFit, error) {
	level, err := stats.LevelOr95(level)
	if err != nil {
		return LineFit{}, err
	}
	f, err := LineThrough(x, y)
	if err == nil {
		f.addErrors(x, y, level)
	}
	return f, err
}

// LineThrough is the line of [FitLine] alone, N, Intercept and Slope: a tenth of the work where
// nobody asks how sure it is. Errors: as those of FitLine.
func LineThrough(x, y []float64) (LineFit, error) {
	if len(x) != len(y) {
		return LineFit{}, stats.ErrUnequalLengths
	}
	if len(x) == 0 {
		return LineFit{}, stats.ErrEmpty
	}
	if err := stats.CheckUsable(x, y); err != nil {
		return LineFit{}, err
	}
	f := LineFit{N: len(x)}
	n := float64(f.N)
	for i := range x {
		f.meanX += x[i] / n
		f.meanY += y[i] / n
	}
	var sxy, scale float64
	for i := range x {
		f.sxx += (x[i] - f.meanX) * (x[i] - f.meanX)
		sxy += (x[i] - f.meanX) * (y[i] - f.meanY)
		scale += x[i] * x[i]
	}
	if f.sxx <= stats.RoundingShare*scale {
		return f, fmt.Errorf("%d points: %w", f.N, ErrConstant)
	}
	f.Slope = sxy / f.sxx
	f.Intercept = f.meanY - f.Slope*f.meanX
	return f, nil
}

func (f *LineFit) addErrors(x, y []float64, level float64) {
	rss, syy, n := 0.0, 0.0, float64(f.N)
	for i := range x {
		e := y[i] - f.meanY - f.Slope*(x[i]-f.meanX)
		rss += e * e
		syy += (y[i] - f.meanY) * (y[i] - f.meanY)
	}
	f.R2 = math.NaN()
	if syy > 0 {
		f.R2 = 1 - rss/syy
	} else {
		f.Warnings = append(f.Warnings, stats.NoSpread("values of y"))
	}
	nan := math.NaN()
	f.Sigma, f.InterceptSE, f.SlopeSE, f.T, f.P = nan, nan, nan, nan, nan
	f.InterceptCI, f.SlopeCI = stats.NoInterval(level), stats.NoInterval(level)
	if f.N < 3 {
		f.Warnings = append(f.Warnings, stats.Warning{Code: WarnNoResidualDF,
			Text: "Two points fix a line but leave nothing to judge its error; at least three are needed."})
		return
	}
	f.Sigma = math.Sqrt(rss / (n - 2))
	f.SlopeSE = f.Sigma / math.Sqrt(f.sxx)
	f.InterceptSE = f.Sigma * math.Sqrt(1/n+f.meanX*f.meanX/f.sxx)
	q := dist.TQuantile((1+level)/2, n-2)
	f.SlopeCI = stats.Interval{Lo: f.Slope - q*f.SlopeSE, Hi: f.Slope + q*f.SlopeSE, Level: level}
	f.InterceptCI = stats.Interval{Lo: f.Intercept - q*f.InterceptSE, Hi: f.Intercept + q*f.InterceptSE, Level: level}
	if f.SlopeSE > 0 {
		f.T = f.Slope / f.SlopeSE
		f.P = dist.TTwoSided(f.T, n-2)
	}
}

// ErrNotPositive is returned when a logarithm is asked of 0 or less.
var ErrNotPositive = errors.New("values must be above 0 to take their logarithm")

func logs(x []float64) ([]float64, error) {
	out := make([]float64, len(x))
	for i, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, stats.ErrNotFinite
		}
		if v <= 0 {
			return nil, fmt.Errorf("value %d is %g: %w", i+1, v, ErrNotPositive)
		}
		out[i] = math.Log10(v)
	}
	return out, nil
}
