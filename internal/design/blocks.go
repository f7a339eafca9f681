package design

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Blocks is an incomplete block design: each row is what one assessor gets, in
// serving order, as numbers from 0 to T−1.
type Blocks struct {
	T, K   int
	Rows   [][]int32
	Method string // how it was built, in words
}

// Spread is the least and the most of a count; equal when it is balanced.
type Spread struct{ Min, Max int }

// MarshalJSON gives a list of the two.
func (s Spread) MarshalJSON() ([]byte, error) { return json.Marshal([2]int{s.Min, s.Max}) }

// Equal reports whether the count is the same everywhere.
func (s Spread) Equal() bool { return s.Min == s.Max }

// Replication returns how often each sample is served.
func (b *Blocks) Replication() []int {
	r := make([]int, b.T)
	for _, row := range b.Rows {
		for _, x := range row {
			r[x]++
		}
	}
	return r
}

// Concurrence returns how often each two samples go to the same assessor; the
// diagonal is zero.
func (b *Blocks) Concurrence() [][]int {
	n := make([][]int, b.T)
	for i := range n {
		n[i] = make([]int, b.T)
	}
	for _, row := range b.Rows {
		for i, x := range row {
			for _, y := range row[:i] {
				n[x][y]++
				n[y][x]++
			}
		}
	}
	return n
}

// Lambda is the spread of the concurrences. A design with equal replication and
// equal lambda is balanced.
func (b *Blocks) Lambda() Spread { return offDiagonal(b.Concurrence()) }

// R is the spread of the replications.
func (b *Blocks) R() Spread { return spreadOf(b.Replication()) }

// IsBalanced reports whether every sample is served equally often and every two
// samples go together equally often.
func (b *Blocks) IsBalanced() bool { return b.R().Equal() && b.Lambda().Equal() }

func spreadOf(x []int) Spread {
	s := Spread{x[0], x[0]}
	for _, n := range x {
		s = Spread{min(s.Min, n), max(s.Max, n)}
	}
	return s
}

func offDiagonal(x [][]int) Spread {
	if len(x) < 2 {
		return Spread{}
	}
	s := Spread{x[0][1], x[0][1]}
	for i := range x {
		for j, n := range x[i] {
			if i != j {
				s = Spread{min(s.Min, n), max(s.Max, n)}
			}
		}
	}
	return s
}

// Efficiency is the average efficiency factor E of a block design with the given
// replications and concurrences and blocks of k: the harmonic mean of the t−1
// canonical efficiency factors, the non-zero eigenvalues of
//
//	R^(−1/2) (R − N Nᵀ / k) R^(−1/2)
//
// (John & Williams 1995, Cyclic and Computer Generated Designs, ch. 2). For a
// balanced design it is λt/(rk). It is 0 when some samples cannot be compared at
// all. E compares with complete blocks of the same replication and the same
// scatter.
func Efficiency(replication []int, concurrence [][]int, k int) float64 {
	t := len(replication)
	for _, r := range replication {
		if r == 0 {
			return 0
		}
	}
	a := mat.NewSymDense(t, nil)
	for i := range t {
		for j := i; j < t; j++ {
			scale := math.Sqrt(float64(replication[i]) * float64(replication[j]))
			v := -float64(concurrence[i][j]) / (float64(k) * scale)
			if i == j {
				v = 1 - 1/float64(k)
			}
			a.SetSym(i, j, v)
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(a, false) {
		return math.NaN()
	}
	values := eigen.Values(nil)
	sum := 0.0
	for _, v := range values[1:] {
		if v < 1e-9 {
			return 0
		}
		sum += 1 / v
	}
	return float64(t-1) / sum
}

// Efficiency is the average efficiency factor of the design.
func (b *Blocks) Efficiency() float64 {
	return Efficiency(b.Replication(), b.Concurrence(), b.K)
}

// Parameters are those of a balanced incomplete block design: t samples, k to
// each of b assessors, every sample r times, every two samples λ times together.
type Parameters struct{ T, K, R, B, Lambda int }

// String gives (t, k, r, b, λ).
func (p Parameters) String() string {
	return fmt.Sprintf("(t=%d, k=%d, r=%d, b=%d, λ=%d)", p.T, p.K, p.R, p.B, p.Lambda)
}

// Smallest returns the parameters with the smallest b that meet bk = tr and
// λ(t−1) = r(k−1) in whole numbers (Cochran & Cox 1957, ch. 11). All others are
// multiples. 2 ≤ k < t.
func Smallest(t, k int) Parameters {
	for lambda := 1; ; lambda++ {
		if lambda*(t-1)%(k-1) != 0 {
			continue
		}
		r := lambda * (t - 1) / (k - 1)
		if r*t%k == 0 {
			return Parameters{t, k, r, r * t / k, lambda}
		}
	}
}

// Times multiplies a design: m copies of every block.
func (p Parameters) Times(m int) Parameters {
	return Parameters{p.T, p.K, p.R * m, p.B * m, p.Lambda * m}
}

// ErrNoDesign: there is no balanced design with these parameters, or none was
// found; the text says which.
var ErrNoDesign = errors.New("no balanced design")

// Impossible says why no balanced incomplete block design with these parameters
// can exist, "" when none of the known reasons applies:
//
//   - b < t (Fisher 1940, Ann. Eugen. 10, 52–75);
//   - symmetric, t even, k − λ not a square, or t odd and
//     x² = (k−λ)y² + (−1)^((t−1)/2) λ z² without a solution but zero (Bruck &
//     Ryser 1949, Can. J. Math. 1, 88–93; Chowla & Ryser 1950, ibid. 2, 93–99);
//   - r = k + λ with λ = 1 or 2 where the symmetric design it would be the
//     residual of, with t + r treatments in blocks of r, is impossible (Hall &
//     Connor 1954, Can. J. Math. 6, 35–41);
//   - (22, 8, 12, 33, 4): none, by an exhaustive computer search (Bilous, Lam et
//     al. 2007, J. Combin. Des. 15, 262–267; from memory).
func (p Parameters) Impossible() string {
	if p.B < p.T {
		return "Fisher's inequality: b < t"
	}
	if p.B == p.T {
		if p.T%2 == 0 && !isSquare(p.K-p.Lambda) {
			return "Bruck–Ryser–Chowla: t is even and k − λ is not a square"
		}
		if p.T%2 == 1 && !chowla(p) {
			return "Bruck–Ryser–Chowla: the equation in x, y, z has no solution"
		}
		return ""
	}
	if p.R == p.K+p.Lambda && p.Lambda <= 2 {
		whole := Parameters{p.T + p.R, p.R, p.R, p.T + p.R, p.Lambda}
		if why := whole.Impossible(); why != "" {
			return fmt.Sprintf("Hall–Connor: it would be the residual of %v, which is impossible (%s)", whole, why)
		}
	}
	if p == (Parameters{22, 8, 12, 33, 4}) {
		return "exhaustive search (Bilous, Lam et al. 2007)"
	}
	return ""
}

func isSquare(n int) bool {
	root := int(math.Round(math.Sqrt(float64(n))))
	return root*root == n
}

// chowla reports whether x² = (k−λ)y² + (−1)^((t−1)/2) λ z² has a solution in
// whole numbers that are not all zero. If it has one, it has one with
// |x| ≤ √(nλ), |y| ≤ √λ, |z| ≤ √n, n = k − λ, after square factors are taken
// out (Holzer 1950, Can. J. Math. 2, 238–244, for a normal form; from memory);
// the search goes far beyond.
func chowla(p Parameters) bool {
	n, m := p.K-p.Lambda, p.Lambda
	if (p.T-1)/2%2 == 1 {
		m = -m
	}
	const far = 200
	for y := range far {
		for z := range far {
			if y == 0 && z == 0 {
				continue
			}
			if x := n*y*y + m*z*z; x >= 0 && isSquare(x) {
				return true
			}
		}
	}
	return false
}
