package dist

// LatticeDistribution is a distribution on start, start+step, start+2·step, …
type LatticeDistribution struct {
	start, step int
	P           []float64
}

// NewLattice returns the distribution with probability p[i] at i, on the
// coarsest lattice that holds it.
func NewLattice(p []float64) LatticeDistribution {
	first, step, last := -1, 0, 0
	for i, v := range p {
		if v == 0 {
			continue
		}
		if first < 0 {
			first = i
		}
		step = GreatestCommonDivisor(step, i-first)
		last = i
	}
	d := LatticeDistribution{start: first, step: step}
	for i := first; i <= last; i += max(step, 1) {
		d.P = append(d.P, p[i])
	}
	return d
}

func GreatestCommonDivisor(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// plus returns the distribution of the sum of two independent variables. All
// terms are positive, so small probabilities keep their relative precision.
func (d LatticeDistribution) Plus(e LatticeDistribution) LatticeDistribution {
	step := GreatestCommonDivisor(d.step, e.step)
	if step == 0 { // both are constants
		return LatticeDistribution{start: d.start + e.start, P: []float64{d.P[0] * e.P[0]}}
	}
	jumpD, jumpE := d.step/step, e.step/step
	sum := LatticeDistribution{start: d.start + e.start, step: step}
	sum.P = make([]float64, (len(d.P)-1)*jumpD+(len(e.P)-1)*jumpE+1)
	for j, q := range e.P {
		if q == 0 {
			continue
		}
		to := sum.P[j*jumpE:]
		for i, p := range d.P {
			to[i*jumpD] += p * q
		}
	}
	return sum
}

// upper returns P(X ≥ x), lower P(X ≤ x).
func (d LatticeDistribution) Upper(x int) float64 {
	sum := 0.0
	for i := len(d.P) - 1; i >= 0 && d.start+i*d.step >= x; i-- {
		sum += d.P[i]
	}
	return sum
}

func (d LatticeDistribution) Lower(x int) float64 {
	sum := 0.0
	for i := 0; i < len(d.P) && d.start+i*d.step <= x; i++ {
		sum += d.P[i]
	}
	return sum
}
