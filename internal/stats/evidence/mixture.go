package evidence

import (
	"errors"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// Errors of malformed input.
var (
	ErrPrior = errors.New("the spread of the prior must be a positive number")
	ErrRange = errors.New("a difference lies outside the scale")
)

// Mixture is evidence that the mean of differences is not 0, by a t statistic; one person at a time.
type Mixture struct {
	g    float64 // variance of the prior of mean/sd
	n    int
	mean float64
	ss   float64 // sum of squares about the mean
}

// NewMixture starts with a prior N(0, g) on mean/sd: g = d² where d is the standardised difference
// planned for. [ErrPrior] unless g is positive.
func NewMixture(g float64) (*Mixture, error) {
	if !(g > 0) || math.IsInf(g, 0) {
		return nil, ErrPrior
	}
	return &Mixture{g: g}, nil
}

// Add takes the difference of one more person, in constant time; [stats.ErrNotFinite] for none.
func (m *Mixture) Add(d float64) error {
	if err := stats.CheckFinite([]float64{d}); err != nil {
		return err
	}
	m.n++
	off := d - m.mean
	m.mean += off / float64(m.n)
	m.ss += off * (d - m.mean)
	return nil
}

// N is how many were added, Mean their mean, and T the t statistic; NaN where they do not differ.
func (m *Mixture) N() int        { return m.n }
func (m *Mixture) Mean() float64 { return m.mean }
func (m *Mixture) T() float64 {
	if !m.scatters() {
		return math.NaN()
	}
	return m.mean / m.SD() * math.Sqrt(float64(m.n))
}

// SD is the standard deviation; NaN of fewer than two.
func (m *Mixture) SD() float64 { return math.Sqrt(m.ss / float64(m.n-1)) }

// scatters reports whether differences differ, beyond the rounding of their sums: where they are all
// equal there is nothing to hold their mean against, and the evidence waits at 1.
func (m *Mixture) scatters() bool {
	return m.n > 1 && m.ss > 1e-24*float64(m.n)*m.mean*m.mean && m.ss > 0
}

// u is t²/(n−1).
func (m *Mixture) u() float64 { return float64(m.n) * m.mean * m.mean / m.ss }

// LogE is the natural logarithm of the evidence: of
// (1+ng)^(−½) [(1+u)/(1+u/(1+ng))]^(n/2), u = t²/(n−1).
func (m *Mixture) LogE() float64 {
	if !m.scatters() {
		return 0
	}
	n, u, spread := float64(m.n), m.u(), 1+float64(m.n)*m.g
	return n/2*(math.Log1p(u)-math.Log1p(u/spread)) - math.Log(spread)/2
}

// LogEGreater is that of the same prior cut to positive differences: 2E·T_n(h), where T_n is the
// distribution function of Student's t with n degrees of freedom.
func (m *Mixture) LogEGreater() float64 {
	if !m.scatters() {
		return 0
	}
	n, spread := float64(m.n), 1+float64(m.n)*m.g
	root := math.Copysign(math.Sqrt(m.u()), m.mean)
	h := root * math.Sqrt(n*m.g/spread) * math.Sqrt(n/(1+m.u()/spread))
	return m.LogE() + math.Ln2 + math.Log(dist.TCDF(h, n))
}

// Interval holds the differences against which the evidence is below 1/(1−level). It is unbounded, with
// infinite ends, while there are too few people for the prior.
func (m *Mixture) Interval(level float64) stats.Interval {
	out := stats.Interval{Lo: math.Inf(-1), Hi: math.Inf(1), Level: level}
	if m.n < 2 || stats.CheckLevel(level) != nil {
		return out
	}
	n, alpha := float64(m.n), 1-level
	spread := 1 + n*m.g
	c := math.Exp((math.Log(spread) - 2*math.Log(alpha)) / n)
	if c >= spread {
		return out
	}
	half := math.Sqrt(m.ss/n) * math.Sqrt((c-1)/(1-c/spread))
	out.Lo, out.Hi = m.mean-half, m.mean+half
	return out
}
