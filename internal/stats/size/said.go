package size

import (
	"math"
	"sort"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// SaidDesign is a planned test of whether one of two things is said more often of turns of
// which it is true than of the others: Fisher's exact test, one-sided.
type SaidDesign struct {
	Hit, FalseAlarm float64 // how often it is said where it is true, and where it is not
	Alpha           float64
}

func (d SaidDesign) check() error {
	sound := func(p float64) bool { return p >= 0 && p <= 1 }
	if !sound(d.Hit) || !sound(d.FalseAlarm) || stats.CheckLevel(d.Alpha) != nil {
		return ErrDesign
	}
	return nil
}

// negligible is the probability of a count that no power needs: all of those left out
// together are below 1e-9 for any panel.
const negligible = 1e-14

// PowerSaid returns the exact power of Fisher's test with n1 turns of which the first
// thing is true and n2 of which it is not: the probabilities of all pairs of counts that
// the test rejects (Casagrande, Pike & Smith 1978, Appl. Stat. 27:176). Errors: [ErrDesign].
func PowerSaid(n1, n2 int, d SaidDesign) (float64, error) {
	if n1 < 0 || n2 < 0 || d.check() != nil {
		return math.NaN(), ErrDesign
	}
	log := newLogChoose(n1 + n2)
	power, most := 0.0, -2 // most is the largest second count that is rejected with the first; it never falls
	for x1 := 0; x1 <= n1; x1++ {
		weight := dist.BinomialPMF(x1, n1, d.Hit)
		if weight <= negligible {
			continue
		}
		kept := func(x2 int) bool { return log.fisher(x1, n1, x2, n2) > d.Alpha }
		if most == -2 {
			most = sort.Search(n2+1, kept) - 1
		}
		for most < n2 && !kept(most+1) {
			most++
		}
		if most >= 0 {
			power += weight * dist.BinomialCDF(most, n2, d.FalseAlarm)
		}
	}
	return math.Min(1, power), nil
}

// logChoose are logarithms of factorials, from which those of binomial coefficients come.
type logChoose []float64

func newLogChoose(n int) logChoose {
	f := make(logChoose, n+1)
	for i := 1; i <= n; i++ {
		f[i] = f[i-1] + math.Log(float64(i))
	}
	return f
}

func (f logChoose) of(n, k int) float64 { return f[n] - f[k] - f[n-k] }

// fisher is the probability of x1 or more of the x1 + x2 successes falling into the first
// group. Terms fall from the mode on, so that the sum ends where they add nothing.
func (f logChoose) fisher(x1, n1, x2, n2 int) float64 {
	m := x1 + x2
	if x1 <= max(0, m-n2) {
		return 1
	}
	whole, p := f.of(n1+n2, m), 0.0
	for k := x1; k <= min(m, n1); k++ {
		term := math.Exp(f.of(n1, k) + f.of(n2, m-k) - whole)
		p += term
		if term < p*1e-16 && float64(k)*float64(n1+n2) > float64(m)*float64(n1) {
			break
		}
	}
	return p
}

// SaidMix is how many turns of each kind a person gets, and the share of the people who do.
type SaidMix struct {
	True, Other int
	Share       float64
}

// PowerSaidWithin returns the power of Fisher's exact test within people, of whom each
// answers several turns, by the normal approximation with continuity correction of the
// sum over people of hits beyond those expected at each one's own margins (the score of
// Mantel & Haenszel 1959, J. Natl. Cancer Inst. 22:719). People answer alike. It is off by
// less than 5 points from 20 people on. Errors: [ErrDesign].
func PowerSaidWithin(people int, mixes []SaidMix, d SaidDesign) (float64, error) {
	if people < 1 || d.check() != nil || len(mixes) == 0 {
		return math.NaN(), ErrDesign
	}
	var beyond, square, null float64
	for _, m := range mixes {
		n := m.True + m.Other
		for x1 := 0; x1 <= m.True; x1++ {
			for x2 := 0; x2 <= m.Other; x2++ {
				w := m.Share * dist.BinomialPMF(x1, m.True, d.Hit) * dist.BinomialPMF(x2, m.Other, d.FalseAlarm)
				said := x1 + x2
				off := float64(x1) - float64(m.True*said)/float64(n)
				beyond += w * off
				square += w * off * off
				if n > 1 {
					null += w * float64(m.True*m.Other*said*(n-said)) / float64(n*n*(n-1))
				}
			}
		}
	}
	p := float64(people)
	spread := math.Sqrt(p * math.Max(0, square-beyond*beyond))
	limit := dist.NormalQuantile(1-d.Alpha)*math.Sqrt(p*null) + .5
	if spread == 0 {
		return math.NaN(), ErrDesign
	}
	return dist.NormalCDF((p*beyond - limit) / spread), nil
}
