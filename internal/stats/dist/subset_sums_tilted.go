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
// nearly 1 far from 0. Those that the bound does not hold are summed too; where they
// are too many, nothing is returned.

// tilted are runs with the chance of a part to be in under the tilt: e^θ times
// as likely for each unit of its value.
type tilted struct {
	runs   []run
	theta  float64 // at most 0
	in     []float64
	total  int
	bounds []runBound
}

const (
	// leftOutPower is the square of what a frequency left out may be. They weigh as
	// the inverse of their distance, so that all of them together move a tail, which
	// the tilt makes a twentieth or more, by 10⁻¹³ of itself at the very most.
	leftOutPower = 1e-30
	logLeftOut   = -69.0776 // its logarithm, rounded down
	// mostFrequencies is where inverting no longer pays.
	mostFrequencies = 400
)

// tiltedTail returns P(S ≤ s) and P(S = s) for s up to half the sum of all runs,
// which are in rising order; ok is false where the frequencies do not die away.
func tiltedTail(runs []run, s int) (tail, point float64, ok bool) {
	v := newInversion(runs, s)
	largest := runs[len(runs)-1].value
	from := halfTurn / largest // up to there every factor falls
	v.start(1)
	for small := false; !small; {
		if v.frequency > mostFrequencies {
			return 0, 0, false
		}
		if 2*v.frequency*largest > v.period { // beyond, the function may rise again
			from = (v.frequency - 1) * wholeTurn / v.period
			break
		}
		small = v.add() < leftOutPower
	}
	v.summed = v.frequency - 1
	if !v.rest(from) {
		return 0, 0, false
	}
	scale := math.Exp(v.logScale(s)) / float64(v.period)
	return min(1, v.tail*scale), v.point * scale, true
}

// inversion sums the frequencies of the probabilities of s and of at most s.
type inversion struct {
	tilted
	s, period   int
	tail, point float64
	frequency   int          // that comes next
	spin, turn  []complex128 // e^{i·value·t} of each run there, and from one frequency to the next
	summed      int          // all frequencies up to there are in the sums
	work        int
}

// newInversion has summed the frequency 0: all of the probability, at weights that fall by
// e^θ below s.
func newInversion(runs []run, s int) *inversion {
	v := &inversion{tilted: tiltTo(runs, s), s: s, point: 1, spin: make([]complex128, len(runs)),
		turn: make([]complex128, len(runs))}
	v.period = v.total + 1
	v.tail = geometric(v.theta, s+1)
	for g, r := range runs {
		v.turn[g] = v.turned(r.value)
	}
	return v
}

// turned is e^{2πi·n/period}.
func (v *inversion) turned(n int) complex128 {
	return cmplx.Rect(1, 2*math.Pi*float64(n%v.period)/float64(v.period))
}

// start makes k the next frequency.
func (v *inversion) start(k int) {
	v.frequency = k
	for g, r := range v.runs {
		v.spin[g] = v.turned(r.value * k)
	}
}

// add sums a frequency and returns the square of the characteristic function there.
func (v *inversion) add() float64 {
	k := v.frequency
	f := v.characteristic() * v.turned(-k*v.s)
	t := 2 * math.Pi * float64(k) / float64(v.period)
	v.tail += 2 * real(f*geometricAt(v.theta, t, k, v.s+1, v.period))
	v.point += 2 * real(f)
	v.frequency++
	return real(f)*real(f) + imag(f)*imag(f)
}

// tiltTo tilts until the mean is near s: Newton's method on the derivative of
// the cumulant function.
func tiltTo(runs []run, s int) tilted {
	d := tilted{runs: runs, in: make([]float64, len(runs)), bounds: make([]runBound, len(runs))}
	for _, r := range runs {
		d.total += r.value * r.count
	}
	for range 20 {
		mean, variance := 0.0, 0.0
		for g, r := range runs {
			p := 1 / (1 + math.Exp(-d.theta*float64(r.value)))
			each := float64(r.value) * float64(r.count)
			d.in[g], d.bounds[g] = p, runBound{r.value, float64(r.count), shrinkageOf(2 * p * (1 - p))}
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

// characteristic returns the characteristic function at the frequency in hand and turns the
// spins on to the next.
func (v *inversion) characteristic() complex128 {
	f := complex(1, 0)
	for g, r := range v.runs {
		p := v.in[g]
		f *= power(complex(1-p+p*real(v.spin[g]), p*imag(v.spin[g])), r.count)
		v.spin[g] *= v.turn[g]
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
// of t only the cosine's largest value counts, so that the logarithm of each factor is bounded by
// a look into a table. Runs that turn little within an interval bound the function on all of
// it; where the product is not small enough, both halves go on with the runs that
// turn more.

const (
	turnBits  = 13
	wholeTurn = 1 << turnBits // t is counted in steps, so many to a turn
	halfTurn  = wholeTurn / 2
	// widest interval: beyond, too few runs turn little within it.
	widest = 8
	// littleTurn is how far a run may turn to either side of the middle of an interval.
	littleTurn = wholeTurn / 8
	// mostIntervals bounds the work: beyond it convolving is as fast.
	mostIntervals = 20_000
)

// shrinkage are the largest logarithms of 1 − q·(1 − cos) of a quarter of a thousand angles in
// the first half turn, from each to the next.
type shrinkage [halfTurn/angleStep + 1]float32

const (
	angleStep   = 8  // steps of t to an angle of the table
	spreadSteps = 32 // values of 2p(1−p), which is at most ½
)

// shrinkages are tables for 2p(1−p) of at least 0, 1/64, 2/64 … ½: a smaller one bounds a larger.
var shrinkages = func() (all [spreadSteps + 1]shrinkage) {
	for q := range all {
		for i := range all[q] {
			h := math.Sin(math.Pi * float64(i*angleStep) / wholeTurn)
			log := math.Log1p(-float64(q) / spreadSteps * h * h)
			all[q][i] = float32(max(log, -100)) * (1 - 1e-6) // rounded to 0, not from it
		}
	}
	return all
}()

// shrinkageOf is the table for 2p(1−p).
func shrinkageOf(spread float64) *shrinkage {
	return &shrinkages[min(spreadSteps, max(0, int(spread*2*spreadSteps)))]
}

// runBound bounds the factors of a run.
type runBound struct {
	value  int
	count  float64
	shrink *shrinkage
}

// at bounds the logarithm of the run's factors within so many steps of another.
func (b *runBound) at(mid, reach int) float64 {
	return b.count * float64(b.shrink[fromZero(b.value*mid, reach)/angleStep])
}

// fromZero is how near an angle comes to a whole turn within so many steps.
func fromZero(angle, reach int) int {
	off := angle&(wholeTurn-1) - halfTurn
	sign := off >> 63
	return max(0, halfTurn-(off^sign-sign)-reach)
}

// rest bounds |φ|² by [leftOutPower] from a step on to π, or sums the frequencies where
// it may be more. Intervals are the narrower the nearer they are to 0, where the function
// changes as fast as its largest runs.
func (v *inversion) rest(from int) bool {
	for from &^= 1; from < halfTurn; {
		width := widest
		for from%width != 0 || 2*width > max(from, 4) {
			width /= 2
		}
		if !v.bounded(from, from+width, 0, 0) {
			return false
		}
		from += width
	}
	return true
}

// bounded bounds or sums what is between two steps, where the runs before g bound ln |φ|².
func (v *inversion) bounded(from, to, g int, bound float64) bool {
	if v.work++; v.work > mostIntervals {
		return false
	}
	mid, each := (from+to)/2, (to-from)/2
	for ; g < len(v.bounds); g++ {
		r := &v.bounds[g]
		reach := r.value * each
		if reach > littleTurn {
			break
		}
		bound += r.at(mid, reach)
		if bound < logLeftOut {
			return true
		}
	}
	if each > 1 {
		return v.bounded(from, mid, g, bound) && v.bounded(mid, to, g, bound)
	}
	return v.dead(mid) || v.between(from, to)
}

// dead reports whether all runs together bound |φ|² within a step of another.
func (v *inversion) dead(mid int) bool {
	bound := 0.0
	for g := range v.bounds {
		r := &v.bounds[g]
		if r.value >= halfTurn {
			return false
		}
		bound += r.at(mid, r.value)
		if bound < logLeftOut {
			return true
		}
	}
	return false
}

// between sums the frequencies from one step to another, without that; false where π is one.
func (v *inversion) between(from, to int) bool {
	first := max(v.summed+1, (from*v.period+wholeTurn-1)/wholeTurn)
	last := (to*v.period - 1) / wholeTurn
	if v.work += mostIntervals / mostFrequencies * max(0, last-first+1); v.work > mostIntervals || to == halfTurn {
		return false
	}
	for v.start(first); v.frequency <= last; {
		v.add()
	}
	return true
}
