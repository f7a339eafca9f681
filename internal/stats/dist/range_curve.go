package dist

import (
	"math"
	"sync"
)

// A panel's analysis asks for hundreds of studentized ranges of the same
// number of means. The inner integral then depends on one number, so its
// logarithm is kept as a Chebyshev series on each half-unit interval; the error
// of the series is below 1e-12 (checked against the integral in the tests).

const (
	curveDegree   = 12
	curveSegments = 54  // to w = 27, where the tail is below 1e-79
	curveMeans    = 200 // more means bend the curve too sharply for this degree
)

// rangeCurve holds log P(range > w) for one number of means.
type rangeCurve struct {
	series [curveSegments][curveDegree + 1]float64
}

// rangeCurves remembers the curve of each number of means; a curve is a pure
// function of that number.
var rangeCurves sync.Map

// rangeCurveFor returns the curve for k means, computed once.
func rangeCurveFor(k int) *rangeCurve {
	if c, ok := rangeCurves.Load(k); ok {
		return c.(*rangeCurve)
	}
	c := new(rangeCurve)
	for segment := range c.series {
		c.series[segment] = chebyshevSeries(func(w float64) float64 {
			return math.Log(rangeSurvival(w, k))
		}, float64(segment)/2)
	}
	rangeCurves.Store(k, c)
	return c
}

// chebyshevSeries interpolates f on [from, from+½] at the Chebyshev nodes.
func chebyshevSeries(f func(float64) float64, from float64) (series [curveDegree + 1]float64) {
	const n = curveDegree + 1
	for i := range n {
		angle := math.Pi * (float64(i) + 0.5) / n
		value := f(from + (1+math.Cos(angle))/4)
		for j := range n {
			series[j] += 2 / float64(n) * value * math.Cos(float64(j)*angle)
		}
	}
	series[0] /= 2
	return series
}

// survival returns P(range > w) by Clenshaw's recurrence.
func (c *rangeCurve) survival(w float64) float64 {
	if 2*w >= curveSegments {
		return 0
	}
	segment := int(2 * w)
	s := &c.series[segment]
	x := 4*(2*w-float64(segment)) - 2 // twice the argument in [−1, 1]
	var b1, b2 float64
	for j := curveDegree; j > 0; j-- {
		b1, b2 = s[j]+x*b1-b2, b1
	}
	return math.Min(1, math.Exp(s[0]+x/2*b1-b2))
}
