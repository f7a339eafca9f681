package looks

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"cloche/internal/stats/dist"
)

// fewestNodes of Gauss and Legendre carry a density between two bounds to 1e-8.
const fewestNodes = 160

// reach is the density, under no drift, of B = Z·√t at a look, of the courses that have not
// stopped by then: at nodes, with the weights of the integral over them. Nil is before any look.
type reach struct {
	t             float64
	b, density, w []float64
}

// widest is how far from 0 a density is followed, in Z: whatever drift is asked for, the
// courses beyond it are too few to count.
const widest = 16

// next is the density at look t of what went on from the look before and lies there with Z
// between −c and c. The nodes are as close as the nearer of the look before and the upcoming
// one asks: three to the standard deviation between them.
func (r *reach) next(t, upcoming, c float64) *reach {
	edge, gap := min(c, widest)*math.Sqrt(t), min(t, upcoming-t)
	if r != nil {
		gap = min(gap, t-r.t)
	}
	n := max(fewestNodes, min(2000, int(6*edge/math.Sqrt(gap))))
	out := &reach{t: t, b: make([]float64, n), density: make([]float64, n), w: make([]float64, n)}
	quad.Legendre{}.FixedLocations(out.b, out.w, -edge, edge)
	for i, b := range out.b {
		out.density[i] = r.at(t, b)
	}
	return out
}

// at is the density of B at t, of the courses that reached it.
func (r *reach) at(t, b float64) float64 {
	if r == nil {
		return dist.NormalDensity(b/math.Sqrt(t)) / math.Sqrt(t)
	}
	step := math.Sqrt(t - r.t)
	sum := 0.0
	for i, from := range r.b {
		sum += r.w[i] * r.density[i] * dist.NormalDensity((b-from)/step)
	}
	return sum / step
}

// beyond is the chance that a course reaches look t and lies there at z or above, under a
// drift. The density under a drift D is that under none times exp(D·B − D²t/2).
func (r *reach) beyond(t, z, drift float64) float64 {
	if r == nil {
		return dist.NormalSurvival(z - drift*math.Sqrt(t))
	}
	step, edge := math.Sqrt(t-r.t), z*math.Sqrt(t)
	sum := 0.0
	for i, from := range r.b {
		sum += r.w[i] * r.density[i] * math.Exp(drift*from-drift*drift*r.t/2) *
			dist.NormalSurvival((edge-from-drift*(t-r.t))/step)
	}
	return sum
}
