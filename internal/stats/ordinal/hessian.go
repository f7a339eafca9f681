package ordinal

import (
	"math"

	"cloche/internal/stats/numeric"
)

// From fewestNodes nodes on, and where groups differ by no more than mostStill, the integral is
// known so well that its second derivatives may be integrated with its nodes held still: to
// 6e-5 of a variance, about as well as by ten nodes that move. Where groups differ more both
// are off more.
const (
	fewestNodes = 10
	mostStill   = 1.25
)

// cellSecond sums second derivatives of log p over the ratings of one category in one class:
// by the thresholds above and below it, and by the shift with 1, b and b² as weights.
type cellSecond struct {
	upUp, upLow, lowLow float64
	up, low             [2]float64 // threshold and shift: weights 1, b
	shift               [3]float64 // twice by the shift: weights 1, b, b²
}

// hessian returns that of minus the log-likelihood, by Louis (1982, J. R. Stat. Soc. B 44:226):
// of one group with the integrand's own share w of each node and h its logarithm,
//
//	∂² log L = Σ w ∂²h + Σ w ∂h ∂hᵗ − (Σ w ∂h)(Σ w ∂h)ᵗ.
//
// That takes some four evaluations of the gradient, where differences take two for each
// parameter. Where the rule is not good enough for it, or the link is not the logit, ok is
// false.
func (r *ordinalMixed) hessian(psi []float64) (hess numeric.Matrix, grad []float64, ok bool) {
	k := len(psi)
	if r.link != Logit || r.points < fewestNodes || math.Abs(psi[k-1]) > mostStill {
		return hess, nil, false
	}
	hess, grad = numeric.NewMatrix(k, k), make([]float64, k)
	second := make([]cellSecond, r.x.Rows*r.categories)
	atNode, mean := make([]float64, k), make([]float64, k)
	r.setOdds(psi)
	for i := range r.patterns {
		p := &r.patterns[i]
		if _, ok := r.group(p, psi, grad); !ok {
			return hess, nil, false
		}
		clear(mean)
		for node, x := range r.node {
			b, w := p.mode+r.state.spread*x, r.state.share[node]
			r.secondAt(p, psi[k-1], b, p.count*w, second)
			r.slopesAt(p, b, r.state.nodes[node*len(p.cells):], atNode)
			numeric.Axpy(w, atNode, mean)
			addOuter(hess, -p.count*w, atNode)
		}
		addOuter(hess, p.count, mean)
	}
	r.addSecond(hess, second)
	for i := range k {
		for j := range i {
			hess.Set(i, j, hess.At(j, i))
		}
	}
	return hess, grad, true
}

// addOuter adds a vector times itself to the upper triangle.
func addOuter(to numeric.Matrix, weight float64, v []float64) {
	for i, x := range v {
		if x != 0 {
			numeric.Axpy(weight*x, v[i:], to.Row(i)[i:])
		}
	}
}

// slopesAt are the slopes of a pattern's h by all parameters, at a node.
func (r *ordinalMixed) slopesAt(p *ratingPattern, b float64, at []slopes, to []float64) {
	thresholds, last := r.categories-1, len(to)-1
	clear(to)
	for i, c := range p.cells {
		if c.category < thresholds {
			to[c.category] += c.n * at[i].upper
		}
		if c.category > 0 {
			to[c.category-1] += c.n * at[i].lower
		}
		numeric.Axpy(-c.n*at[i].s1, r.x.Row(c.kind), to[thresholds:last])
		to[last] -= c.n * at[i].s1 * b
	}
}

// secondAt adds the second derivatives at a node. With f the density of the logistic
// distribution, ∂s1/∂upper is −f(upper), and ∂² log p/∂upper ∂lower is minus the product of the
// two slopes.
func (r *ordinalMixed) secondAt(p *ratingPattern, sigma, b, w float64, second []cellSecond) {
	factor := math.Exp(-sigma * b)
	for i, c := range p.cells {
		odds := r.odds.Row(c.kind)
		at := &r.state.at[i] // is no longer needed
		*at, _, _ = logitCell(odds[c.category+1]*factor, odds[c.category]*factor)
		x := &second[c.kind*r.categories+c.category]
		w := w * c.n
		cross := at.upper * at.lower
		x.upUp += w * (at.s1Upper + cross)
		x.lowLow += w * (at.s1Low + cross)
		x.upLow -= w * cross
		x.up[0] -= w * at.s1Upper
		x.up[1] -= w * at.s1Upper * b
		x.low[0] -= w * at.s1Low
		x.low[1] -= w * at.s1Low * b
		x.shift[0] += w * at.s2
		x.shift[1] += w * at.s2 * b
		x.shift[2] += w * at.s2 * b * b
	}
}

// addSecond subtracts what was summed by classes from the upper triangle of the Hessian.
func (r *ordinalMixed) addSecond(hess numeric.Matrix, second []cellSecond) {
	thresholds, last := r.categories-1, hess.Rows-1
	toThreshold := func(row int, at [2]float64, x []float64) {
		numeric.Axpy(-at[0], x, hess.Row(row)[thresholds:last])
		hess.Add(row, last, -at[1])
	}
	for i := range second {
		s, x, category := &second[i], r.x.Row(i/r.categories), i%r.categories
		if s.shift[0] == 0 {
			continue
		}
		if category < thresholds {
			hess.Add(category, category, -s.upUp)
			toThreshold(category, s.up, x)
		}
		if category > 0 {
			hess.Add(category-1, category-1, -s.lowLow)
			toThreshold(category-1, s.low, x)
		}
		if category > 0 && category < thresholds {
			hess.Add(category-1, category, -s.upLow)
		}
		for j, v := range x {
			if v != 0 {
				numeric.Axpy(-s.shift[0]*v, x[j:], hess.Row(thresholds + j)[thresholds+j:last])
				hess.Add(thresholds+j, last, -s.shift[1]*v)
			}
		}
		hess.Add(last, last, -s.shift[2])
	}
}
