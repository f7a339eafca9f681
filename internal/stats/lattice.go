package stats

// latticeDistribution is a distribution on start, start+step, start+2·step, …
type latticeDistribution struct {
	start, step int
	p           []float64
}

// newLattice returns the distribution with probability p[i] at i, on the
// coarsest lattice that holds it.
func newLattice(p []float64) latticeDistribution {
	first, step, last := -1, 0, 0
	for i, v := range p {
		if v == 0 {
			continue
		}
		if first < 0 {
			first = i
		}
		step = greatestCommonDivisor(step, i-first)
		last = i
	}
	d := latticeDistribution{start: first, step: step}
	for i := first; i <= last; i += max(step, 1) {
		d.p = append(d.p, p[i])
	}
	return d
}

func greatestCommonDivisor(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// plus returns the distribution of the sum of two independent variables. All
// terms are positive, so small probabilities keep their relative precision.
func (d latticeDistribution) plus(e latticeDistribution) latticeDistribution {
	step := greatestCommonDivisor(d.step, e.step)
	if step == 0 { // both are constants
		return latticeDistribution{start: d.start + e.start, p: []float64{d.p[0] * e.p[0]}}
	}
	jumpD, jumpE := d.step/step, e.step/step
	sum := latticeDistribution{start: d.start + e.start, step: step}
	sum.p = make([]float64, (len(d.p)-1)*jumpD+(len(e.p)-1)*jumpE+1)
	for j, q := range e.p {
		if q == 0 {
			continue
		}
		to := sum.p[j*jumpE:]
		for i, p := range d.p {
			to[i*jumpD] += p * q
		}
	}
	return sum
}

// upper returns P(X ≥ x), lower P(X ≤ x).
func (d latticeDistribution) upper(x int) float64 {
	sum := 0.0
	for i := len(d.p) - 1; i >= 0 && d.start+i*d.step >= x; i-- {
		sum += d.p[i]
	}
	return sum
}

func (d latticeDistribution) lower(x int) float64 {
	sum := 0.0
	for i := 0; i < len(d.p) && d.start+i*d.step <= x; i++ {
		sum += d.p[i]
	}
	return sum
}
