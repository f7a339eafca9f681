package dist

import (
	"math"
	"math/cmplx"
)

// Convolving asks for the cube of the number of parts. Inverting the
// characteristic function of the sum asks for a few dozen frequencies, each of
// them a product over the runs, however many parts there are. Two things keep
// it as exact: the distribution is tilted until the sum looked at is in its
// middle (Esscher 1932; Daniels 1954, Ann. Math. Stat. 25:631), so that a small
// tail keeps its relative accuracy; and the frequencies left out are bounded by
// interval arithmetic, because whole numbers can bring the function back to
// nearly 1 far from 0. Where the bound does not hold, nothing is returned.

// tilted are runs with the chance of a part to be in under the tilt: e^θ times
// as likely for each unit of its value.
type tilted struct {
	runs  []run
	theta float64 // at most 0
	in    []float64
	total int
	// spread is 2p(1−p) of each run's parts, p the chance to be in.
	spread []float64
}

const (
	// leftOutPower is the square of what a frequency left out may be. They weigh as
	// the inverse of their distance, so that all of them together move a tail, which
	// the tilt makes a twentieth or more, by 10⁻¹³ of itself at the very most.
	leftOutPower = 1e-30
	// mostFrequencies is where inverting no longer pays.
	mostFrequencies = 400
)

// tiltedTail returns P(S ≤ s) and P(S = s) for s up to half the sum of all runs,
// which are in rising order; ok is false where the frequencies do not die away.
func tiltedTail(runs []run, s int) (tail, point float64, ok bool) {
	d := tiltTo(runs, s)
	largest := runs[len(runs)-1].value
	period := d.total + 1
	spin := make([]complex128, len(runs)) // e^{i·value·t} at the frequency in hand
	turn := make([]complex128, len(runs))
	for g, r := range runs {
		spin[g], turn[g] = 1, cmplx.Rect(1, 2*math.Pi*float64(r.value)/float64(period))
	}
	// The frequency 0: all of the probability, at weights that fall by e^θ below s.
	tail, point = geometric(d.theta, s+1), 1
	for k := 1; ; k++ {
		if k > mostFrequencies || 2*k*largest > period { // beyond, the function may rise again
			return 0, 0, false
		}
		f := d.characteristic(spin, turn)
		t := 2 * math.Pi * float64(k) / float64(period)
		f *= cmplx.Rect(1, -2*math.Pi*float64(k*s%period)/float64(period))
		tail += 2 * real(f*geometricAt(d.theta, t, k, s+1, period))
		point += 2 * real(f)
		if real(f)*real(f)+imag(f)*imag(f) < leftOutPower {
			break
		}
	}
	if !d.deadBeyond(largest) {
		return 0, 0, false
	}
	scale := math.Exp(d.logScale(s)) / float64(period)
	return min(1, tail*scale), point * scale, true
}

// tiltTo tilts until the mean is near s: Newton's method on the derivative of
// the cumulant function.
func tiltTo(runs []run, s int) tilted {
	d := tilted{runs: runs, in: make([]float64, len(runs)), spread: make([]float64, len(runs))}
	for _, r := range runs {
		d.total += r.value * r.count
	}
	for range 20 {
		mean, variance := 0.0, 0.0
		for g, r := range runs {
			p := 1 / (1 + math.Exp(-d.theta*float64(r.value)))
			each := float64(r.value) * float64(r.count)
			d.in[g], d.spread[g] = p, 2*p*(1-p)
			mean += each * p
			variance += each * float64(r.value) * p * (1 - p)
		}
		if math.Abs(mean-float64(s)) <= math.Sqrt(variance)/4 {
			break
		}
		d.theta = min(0, d.theta+(float64(s)-mean)/variance)
	}
	return d
}

// logScale is the logarithm of what turns a probability at s under the tilt into
// the one without it: Σ ln cosh(θr/2) + θ·(total/2 − s).
func (d tilted) logScale(s int) float64 {
	log := d.theta * (float64(d.total)/2 - float64(s))
	for _, r := range d.runs {
		h := math.Sinh(d.theta * float64(r.value) / 4)
		log += float64(r.count) * math.Log1p(2*h*h)
	}
	return log
}

// characteristic turns the spins on by one frequency and returns the
// characteristic function there.
func (d tilted) characteristic(spin, turn []complex128) complex128 {
	f := complex(1, 0)
	for g, r := range d.runs {
		spin[g] *= turn[g]
		p := d.in[g]
		f *= power(complex(1-p+p*real(spin[g]), p*imag(spin[g])), r.count)
	}
	return f
}

// power is z to a positive whole power.
func power(z complex128, n int) complex128 {
	p := complex(1, 0)
	for ; n > 1; n >>= 1 {
		if n&1 == 1 {
			p *= z
		}
		z *= z
	}
	return p * z
}

// geometric is Σ e^{θv} over v = 0 … n−1.
func geometric(theta float64, n int) float64 {
	if theta == 0 {
		return float64(n)
	}
	return math.Expm1(theta*float64(n)) / math.Expm1(theta)
}

// geometricAt is Σ e^{(θ+it)v} over v = 0 … n−1, with t the kth frequency of a period.
func geometricAt(theta, t float64, k, n, period int) complex128 {
	angle := 2 * math.Pi * float64(k*n%period) / float64(period)
	return expm1(theta*float64(n), angle) / expm1(theta, t)
}

// expm1 is e^{a+ib} − 1, accurate where that is small.
func expm1(a, b float64) complex128 {
	h := math.Sin(b / 2)
	return complex(math.Expm1(a)*math.Cos(b)-2*h*h, math.Exp(a)*math.Sin(b))
}

// Bounding: |φ|² is a product of 1 − 2p(1−p)·(1 − cos rt) over the parts. On an interval
// of t only the cosine's largest value counts, so that each factor is bounded by
// a look into a table. Many intervals are bounded at once; those where the product is
// not small enough are halved until it is.

const (
	turnBits  = 13
	wholeTurn = 1 << turnBits // t is counted in steps, so many to a turn
	halfTurn  = wholeTurn / 2
	// Intervals of two times reachOfCell steps, from firstCell on; nearer to 0 the
	// function still changes too fast for them.
	reachOfCell = 4
	firstCell   = 128
	cells       = (halfTurn - firstCell) / (2 * reachOfCell)
	// mostHalved bounds the work: beyond it convolving is as fast.
	mostHalved = 2000
)

// versines are 1 − cos of the first half turn.
var versines = func() (v [halfTurn + 1]float64) {
	for i := range v {
		h := math.Sin(math.Pi * float64(i) / wholeTurn)
		v[i] = 2 * h * h
	}
	return v
}()

// fromZero is how near an angle comes to a whole turn within so many steps.
func fromZero(angle, reach int) int {
	off := angle&(wholeTurn-1) - halfTurn
	sign := off >> 63
	return max(0, halfTurn-(off^sign-sign)-reach)
}

// deadBeyond reports whether |φ|² stays below [leftOutPower] from π/largest to π. Up to there
// every factor falls.
func (d *tilted) deadBeyond(largest int) bool {
	work := 0
	if !d.deadWithin(halfTurn/largest, firstCell, &work) {
		return false
	}
	for _, c := range d.liveCells() {
		if !d.deadWithin(c.mid-reachOfCell, c.mid+reachOfCell, &work) {
			return false
		}
	}
	return true
}

// cell is an interval with a bound of |φ|² on it.
type cell struct {
	mid   int
	bound float64
}

// liveCells are the cells in which |φ|² may be large, by as many runs as turn little
// within a cell; the smallest turn least.
func (d *tilted) liveCells() []cell {
	live := make([]cell, cells)
	for j := range live {
		live[j] = cell{firstCell + (2*j+1)*reachOfCell, 1}
	}
	for g, r := range d.runs {
		reach := r.value * reachOfCell
		if reach > wholeTurn/5 || len(live) == 0 {
			break
		}
		spread := d.spread[g]
		kept := 0
		for _, c := range live {
			c.bound *= wholePower(1-spread*versines[fromZero(r.value*c.mid, reach)], r.count)
			live[kept] = c
			if c.bound >= leftOutPower {
				kept++
			}
		}
		live = live[:kept]
	}
	return live
}

// wholePower is x to a positive whole power.
func wholePower(x float64, n int) float64 {
	switch n {
	case 1:
		return x
	case 2:
		return x * x
	case 3:
		return x * x * x
	}
	p := 1.0
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			p *= x
		}
		x *= x
	}
	return p
}

// deadWithin reports whether |φ|² stays below [leftOutPower] from one step to another.
func (d *tilted) deadWithin(from, to int, work *int) bool {
	if *work++; *work > mostHalved {
		return false
	}
	mid := (from + to) / 2
	bound := 1.0
	for g, r := range d.runs {
		reach := r.value * (to - mid)
		if reach >= halfTurn {
			break
		}
		factor := 1 - d.spread[g]*versines[fromZero(r.value*mid, reach)]
		for range r.count {
			bound *= factor
		}
		if bound < leftOutPower {
			return true
		}
	}
	return to-from > 1 && d.deadWithin(from, mid, work) && d.deadWithin(mid, to, work)
}
