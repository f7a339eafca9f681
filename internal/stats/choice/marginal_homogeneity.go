package choice

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// MostHomogeneityCases is the number of cases up to which [MarginalHomogeneity] counts
// them all: some 60 people who moved between each two of three categories, in 2 ms.
const MostHomogeneityCases = 250_000

// MarginalHomogeneityResult is the outcome of [MarginalHomogeneity].
type MarginalHomogeneityResult struct {
	N, Moved int // people in all; people whose two answers differ
	Q, DF, P float64
	ExactP   float64 // NaN beyond three categories or [MostHomogeneityCases]
	Warnings []stats.Warning
}

// MarginalHomogeneity tests whether the same people answer to two samples alike, over k
// categories: table[i][j] counts those with answer i to the first and j to the second.
// Q = d′V⁻¹d, d the row sums less the column sums and V their covariance when everybody's
// two answers might as well have been the other way round (Stuart 1955, Biometrika 42:412;
// Maxwell 1970, Br. J. Psychiatry 116:651; both cited from memory), on as many degrees of freedom as V has dimensions.
//
// V given who moved between which two answers is fixed, so that the exact p counts the
// ways in which these people could have moved (each of n between two answers goes up or
// down by ½): those with a Q as large. Of two categories it is McNemar's.
//
// When nobody moved Q, P and ExactP are NaN, with a warning. Errors: [stats.ErrCounts],
// [stats.ErrEmpty].
func MarginalHomogeneity(table [][]int) (MarginalHomogeneityResult, error) {
	r := MarginalHomogeneityResult{Q: math.NaN(), P: math.NaN(), ExactP: math.NaN()}
	for i, row := range table {
		if len(row) != len(table) {
			return r, stats.ErrCounts
		}
		for j, n := range row {
			if n < 0 {
				return r, stats.ErrCounts
			}
			r.N += n
			if i != j {
				r.Moved += n
			}
		}
	}
	if r.N == 0 {
		return r, stats.ErrEmpty
	}
	if r.Moved == 0 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnNoDiscordant,
			Text: "nobody answers differently to the two samples, so there is nothing to test"})
		return r, nil
	}
	m := newMovement(table)
	gaps := make([]float64, len(table))
	for i, row := range table {
		for j := range row {
			gaps[i] += float64(table[i][j] - table[j][i])
		}
	}
	r.Q, r.DF = m.statistic(gaps), float64(len(m.free))
	r.P = dist.ChiSquaredSurvival(r.Q, r.DF)
	if len(table) <= 3 && m.cases() <= MostHomogeneityCases {
		r.ExactP = m.exactP(r.Q)
	}
	return r, nil
}

// movement is who moved between which categories, whichever way.
type movement struct {
	k       int
	between [][]int       // people who moved between i and j
	free    []int         // categories whose gaps determine those of the others
	inverse *mat.SymDense // of the covariance of their gaps
}

func newMovement(table [][]int) movement {
	m := movement{k: len(table), between: make([][]int, len(table))}
	for i := range table {
		m.between[i] = make([]int, m.k)
		for j := range table {
			if i != j {
				m.between[i][j] = table[i][j] + table[j][i]
			}
		}
	}
	m.free = m.freeCategories()
	v := mat.NewSymDense(len(m.free), nil)
	for a, i := range m.free {
		for b, j := range m.free[:a+1] {
			x := -float64(m.between[i][j])
			if a == b {
				x = float64(m.movers(i))
			}
			v.SetSym(a, b, x)
		}
	}
	var chol mat.Cholesky
	chol.Factorize(v) // positive definite: one category of each connected group is left out
	m.inverse = mat.NewSymDense(len(m.free), nil)
	if err := chol.InverseTo(m.inverse); err != nil { // of counts that a float no longer tells apart
		m.inverse.Zero()
	}
	return m
}

// movers are the people who moved from a category or to it.
func (m movement) movers(i int) (n int) {
	for _, x := range m.between[i] {
		n += x
	}
	return n
}

// freeCategories are all categories but the last of each group that people moved within:
// the gaps of a group add up to 0.
func (m movement) freeCategories() (free []int) {
	group := make([]int, m.k)
	for i := range group {
		group[i] = i
	}
	for i := range m.k {
		for j := range i {
			if m.between[i][j] > 0 && group[i] != group[j] {
				old, now := group[j], group[i]
				for x := range group {
					if group[x] == old {
						group[x] = now
					}
				}
			}
		}
	}
	for i := range m.k {
		for later := i + 1; later < m.k; later++ {
			if group[later] == group[i] {
				free = append(free, i)
				break
			}
		}
	}
	return free
}

func (m movement) statistic(gaps []float64) (q float64) {
	for a, i := range m.free {
		for b, j := range m.free {
			q += gaps[i] * m.inverse.At(a, b) * gaps[j]
		}
	}
	return q
}

func (m movement) cases() float64 {
	n := 1.0
	for i := range m.k {
		for j := range i {
			n *= float64(m.between[i][j] + 1)
		}
	}
	return n
}

// exactP is the chance of a Q as large, over all ways to move between three categories at
// most; ties within rounding count.
func (m movement) exactP(observed float64) (p float64) {
	least := observed*(1-1e-9) - 1e-12
	var w [3][3]float64 // the inverse, 0 where a category is not free
	for a, i := range m.free {
		for b, j := range m.free {
			w[i][j] = m.inverse.At(a, b)
		}
	}
	first, ends, last := m.ways(0, 1), m.ways(0, 2), m.ways(1, 2)
	for x, px := range first {
		for y, py := range ends {
			for z, pz := range last {
				a, b, c := float64(2*x-len(first)+1), float64(2*y-len(ends)+1), float64(2*z-len(last)+1)
				g := [3]float64{a + b, c - a, -b - c}
				q := w[0][0]*g[0]*g[0] + w[1][1]*g[1]*g[1] + w[2][2]*g[2]*g[2] +
					2*(w[0][1]*g[0]*g[1]+w[0][2]*g[0]*g[2]+w[1][2]*g[1]*g[2])
				if q >= least {
					p += px * py * pz
				}
			}
		}
	}
	return min(1, p)
}

// ways are the chances that 0, 1, … of those between two categories went up.
func (m movement) ways(i, j int) []float64 {
	n := 0
	if max(i, j) < m.k {
		n = m.between[i][j]
	}
	chances := make([]float64, n+1)
	for x := range chances {
		chances[x] = dist.BinomialPMF(x, n, 0.5)
	}
	return chances
}
