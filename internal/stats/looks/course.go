package looks

import (
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// course is what looks at these fractions, with these two-sided bounds, can lead to.
type course struct {
	t, z    []float64
	reached []*reach // before each look
}

// newCourse takes the bounds of every look but the last, whose bound may be missing.
func newCourse(fractions, z []float64) (*course, error) {
	if err := rising(fractions); err != nil {
		return nil, err
	}
	if len(z) < len(fractions)-1 {
		return nil, fmt.Errorf("%d bounds for %d looks", len(z), len(fractions))
	}
	c := &course{t: fractions, z: z, reached: make([]*reach, len(fractions))}
	for k := 1; k < len(fractions); k++ {
		c.reached[k] = c.reached[k-1].next(fractions[k-1], fractions[k], z[k-1])
	}
	return c, nil
}

// upper is the chance to cross first at look k, upwards.
func (c *course) upper(k int, drift float64) float64 {
	return c.reached[k].beyond(c.t[k], c.z[k], drift)
}

// Exits are the chances of how looks end, under a drift.
type Exits struct {
	Upper, Lower []float64 // to cross first at each look
	Power        float64   // to cross at any
	Stop         []float64 // to end at each look; at the last one whoever came that far
	MeanFraction float64   // information fraction at the end, on average
}

// Exit returns how looks with these bounds end when the drift, the mean of Z at an information
// fraction of 1, is so large.
func Exit(fractions, z []float64, drift float64) (Exits, error) {
	c, err := newCourse(fractions, z)
	if err != nil {
		return Exits{}, err
	}
	if len(z) != len(fractions) {
		return Exits{}, fmt.Errorf("%d bounds for %d looks", len(z), len(fractions))
	}
	var e Exits
	left := 1.0
	for k, t := range fractions {
		up, down := c.upper(k, drift), c.upper(k, -drift) // bounds are symmetric
		e.Upper, e.Lower, e.Power = append(e.Upper, up), append(e.Lower, down), e.Power+up+down
		stop := up + down
		if k == len(fractions)-1 {
			stop = left
		}
		e.Stop, e.MeanFraction, left = append(e.Stop, stop), e.MeanFraction+stop*t, left-stop
	}
	return e, nil
}

// Ended is where looks ended.
type Ended struct {
	Fractions []float64 // of the looks that were taken
	Z         []float64 // bounds of the looks before the last one taken
	At        float64   // Z at the last one taken
}

// Inference is what follows for the drift from where looks ended.
type Inference struct {
	PUpper   float64        // chance, without an effect, to end so far up or farther
	P        float64        // two-sided
	Plain    float64        // drift as if there had been one look: Z/√t
	Estimate float64        // drift, median-unbiased
	CI       stats.Interval // of the drift
}

// Infer returns p, estimate and interval by the order of the stages: p(D) is the chance under
// drift D to have stopped upwards at an earlier look, or to have come to the last one and lie
// there at Z or above; the limits are where it is (1 ∓ level)/2, the estimate where it is ½.
func Infer(e Ended, level float64) (Inference, error) {
	c, err := newCourse(e.Fractions, e.Z)
	if err != nil {
		return Inference{}, err
	}
	if math.IsNaN(e.At) || !(level > 0 && level < 1) {
		return Inference{}, fmt.Errorf("a Z of %g at level %g: a number, and a level between 0 and 1", e.At, level)
	}
	last := len(e.Fractions) - 1
	above := func(drift float64) float64 {
		p := c.reached[last].beyond(c.t[last], e.At, drift)
		for k := range last {
			p += c.upper(k, drift)
		}
		return p
	}
	start, width := e.At/math.Sqrt(c.t[last]), 1/math.Sqrt(c.t[last])
	at := func(p float64) float64 { return whereIs(above, p, start, width) }
	r := Inference{PUpper: above(0), Plain: start, Estimate: at(0.5),
		CI: stats.Interval{Lo: at((1 - level) / 2), Hi: at((1 + level) / 2), Level: level}}
	r.P = min(1, 2*min(r.PUpper, 1-r.PUpper))
	return r, nil
}

// whereIs finds where a rising chance is p, from a first guess outwards. As normal quantiles the
// two are nearly a straight line of the drift.
func whereIs(chance func(float64) float64, p, start, width float64) float64 {
	f := func(drift float64) float64 {
		return dist.NormalQuantile(min(max(chance(drift), 1e-300), 1-1e-16)) - dist.NormalQuantile(p)
	}
	lo, hi := start-width, start+width
	for step := width; f(lo) > 0 && step < 1e6; step *= 2 {
		lo -= step
	}
	for step := width; f(hi) < 0 && step < 1e6; step *= 2 {
		hi += step
	}
	return numeric.BracketRoot(f, lo, hi, 1e-12)
}

// ZOf is the Z that has the two-sided p of a t statistic, with its sign.
func ZOf(t, df float64) float64 {
	return math.Copysign(min(-dist.NormalQuantile(dist.TSurvival(math.Abs(t), df)), unreachable), t)
}

// PointsPerZ is how many scale points of the mean stand for one unit of Z, at a t statistic
// with its standard error.
func PointsPerZ(t, se, df float64) float64 {
	t = max(math.Abs(t), 1e-4) // at 0 both are 0, and their ratio is that beside it
	return se * t / math.Abs(ZOf(t, df))
}
