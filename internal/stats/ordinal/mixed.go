package ordinal

import (
	"encoding/binary"
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"

	"cloche/internal/stats/model"
	"cloche/internal/stats/numeric"
)

// ordinalMixed is an ordinal model with a random level for each group. Groups
// with the same ratings in the same classes are one pattern.
type ordinalMixed struct {
	*ordinalDesign
	groups   int
	points   int
	node     []float64 // abscissae of the Gauss–Hermite rule
	logWt    []float64 // log weight + abscissa²
	patterns []ratingPattern
	eta      []float64      // scratch: linear predictor of each class
	odds     numeric.Matrix // scratch: e^(threshold − predictor) by class, 0 and +Inf at the ends
	state    quadratureState
}

// ratingPattern is a set of ratings that count groups gave alike.
type ratingPattern struct {
	count float64
	cells []ratingCell
	mode  float64 // where the last evaluation found the mode: a start
}

// ratingCell is n ratings of one category in one class.
type ratingCell struct {
	kind, category int
	n              float64
}

// quadratureState is scratch space for one pattern.
type quadratureState struct {
	at    []cell    // cells at the mode
	nodes []slopes  // of the cells at each node, node by node
	logF  []float64 // the integrand at each node is e^logF · rest
	rest  []float64
	slope []float64 // its slope in b
	share []float64 // of each node in the integral

	spread float64 // of the nodes
}

func newOrdinalMixed(m Model, d *ordinalDesign, data model.Data) (*ordinalMixed, error) {
	group, levels, err := data.Grouping(m.Group, 1)
	if err != nil {
		return nil, err
	}
	r := &ordinalMixed{ordinalDesign: d, groups: levels, points: max(1, m.Points),
		eta: make([]float64, d.x.Rows), odds: numeric.NewMatrix(d.x.Rows, d.categories+1)}
	r.rule()
	r.gather(group)
	return r, nil
}

// rule sets up the Gauss–Hermite rule for the weight exp(−x²).
func (r *ordinalMixed) rule() {
	x, w := make([]float64, r.points), make([]float64, r.points)
	quad.Hermite{}.FixedLocations(x, w, math.Inf(-1), math.Inf(1))
	r.node, r.logWt = x, make([]float64, r.points)
	for i, v := range w {
		r.logWt[i] = math.Log(v) + x[i]*x[i]
	}
}

// gather turns each group's ratings into a pattern.
func (r *ordinalMixed) gather(group []int) {
	known := map[string]int{}
	most := 0
	for _, rows := range model.GroupRows(group) {
		slices.SortFunc(rows, func(a, b int) int {
			if r.kind[a] != r.kind[b] {
				return r.kind[a] - r.kind[b]
			}
			return r.category[a] - r.category[b]
		})
		var key []byte
		var cells []ratingCell
		for _, i := range rows {
			key = binary.LittleEndian.AppendUint32(key, uint32(r.kind[i]))
			key = binary.LittleEndian.AppendUint32(key, uint32(r.category[i]))
			if last := len(cells) - 1; last >= 0 && cells[last].kind == r.kind[i] &&
				cells[last].category == r.category[i] {
				cells[last].n++
				continue
			}
			cells = append(cells, ratingCell{r.kind[i], r.category[i], 1})
		}
		most = max(most, len(cells))
		at, ok := known[string(key)]
		if !ok {
			at = len(r.patterns)
			known[string(key)] = at
			r.patterns = append(r.patterns, ratingPattern{cells: cells})
		}
		r.patterns[at].count++
	}
	k := r.points
	r.state = quadratureState{at: make([]cell, most), nodes: make([]slopes, k*most), logF: make([]float64, k),
		rest: make([]float64, k), slope: make([]float64, k), share: make([]float64, k)}
}

// evaluate returns minus the approximated log-likelihood at ψ = thresholds,
// effects, σ, and adds its gradient to grad, which must be zero.
//
// For one group h(b) = Σ n log p(b) − b²/2 with b the standard normal level;
// the mode b̂ and D = −h″(b̂) place the nodes b_k = b̂ + √2 x_k D^(−½), and
//
//	log L = −½ log(πD) + log Σ w_k exp(x_k² + h(b_k)).
//
// One node is Laplace's approximation.
func (r *ordinalMixed) evaluate(psi, grad []float64) (value float64, ok bool) {
	r.setOdds(psi)
	for i := range r.patterns {
		p := &r.patterns[i]
		logL, ok := r.group(p, psi, grad)
		if !ok {
			return 0, false
		}
		value -= p.count * logL
	}
	return value, !math.IsNaN(value)
}

// setOdds fills what all groups have in common.
func (r *ordinalMixed) setOdds(psi []float64) {
	thresholds := r.categories - 1
	beta := psi[thresholds : thresholds+r.x.Cols]
	for i := range r.eta {
		r.eta[i] = numeric.Dot(r.x.Row(i), beta)
		odds := r.odds.Row(i)
		for j := range thresholds {
			odds[j+1] = math.Exp(psi[j] - r.eta[i])
		}
		odds[thresholds+1] = math.Inf(1)
	}
}

// group integrates one pattern and subtracts its gradient.
func (r *ordinalMixed) group(p *ratingPattern, psi, grad []float64) (logL float64, ok bool) {
	sigma := psi[len(psi)-1]
	b, ok := r.mode(p, psi, sigma)
	if !ok {
		return 0, false
	}
	p.mode = b
	var s1, s2, s3 float64
	for i, c := range p.cells {
		at := &r.state.at[i]
		s1, s2, s3 = s1+c.n*at.s1, s2+c.n*at.s2, s3+c.n*at.s3
	}
	d := 1 - sigma*sigma*s2
	spread := math.Sqrt2 / math.Sqrt(d)
	r.state.spread = spread
	highest := math.Inf(-1)
	for k, x := range r.node {
		if !r.atNode(p, psi, sigma, b+spread*x, k) {
			return 0, false
		}
		highest = math.Max(highest, r.logWt[k]+r.state.logF[k])
	}
	sum := 0.0
	for k := range r.node {
		r.state.share[k] = math.Exp(r.logWt[k]+r.state.logF[k]-highest) * r.state.rest[k]
		sum += r.state.share[k]
	}
	if !(sum > 0) {
		return 0, false
	}
	drift, stretch := 0.0, 0.0 // how log L answers to moving b̂ and to 1/√D
	for k, x := range r.node {
		r.state.share[k] /= sum
		drift += r.state.share[k] * r.state.slope[k]
		stretch += r.state.share[k] * r.state.slope[k] * x
	}
	toD := -0.5/d - 0.5*math.Sqrt2*stretch/(d*math.Sqrt(d))
	toMode := (drift + toD*sigma*sigma*sigma*s3) / d
	r.subtractGradient(p, psi, grad, quadratureWeights{b, spread, toD, toMode, s1, s2, s3})
	return -0.5*math.Log(math.Pi*d) + highest + math.Log(sum), true
}

// mode finds the mode of h by Newton's method; h is concave. It leaves the
// cells at the mode in the scratch space.
func (r *ordinalMixed) mode(p *ratingPattern, psi []float64, sigma float64) (b float64, ok bool) {
	b = p.mode
	for range 100 {
		slope, curvature, ok := r.slopeAt(p, psi, sigma, b)
		if !ok {
			if math.Abs(b) < 1e-3 {
				return 0, false
			}
			b /= 2 // a start too far out
			continue
		}
		step := slope / curvature
		if math.Abs(step) < 1e-9 {
			return b, true
		}
		b += math.Max(-2, math.Min(2, step))
	}
	return b, false
}

// slopeAt returns h′ and −h″ at b and fills the scratch cells.
func (r *ordinalMixed) slopeAt(p *ratingPattern, psi []float64, sigma, b float64) (slope, curvature float64, ok bool) {
	slope, curvature = -b, 1
	factor := math.Exp(-sigma * b)
	for i, c := range p.cells {
		var at cell
		if r.link == Logit {
			odds := r.odds.Row(c.kind)
			at, _, ok = logitCell(odds[c.category+1]*factor, odds[c.category]*factor)
		} else {
			upper, lower := categoryEnds(psi, c.category, r.categories)
			shift := r.eta[c.kind] + sigma*b
			at, ok = r.link.fullCell(upper-shift, lower-shift)
		}
		if !ok {
			return 0, 0, false
		}
		r.state.at[i] = at
		slope -= sigma * c.n * at.s1
		curvature -= sigma * sigma * c.n * at.s2
	}
	return slope, curvature, true
}

// atNode evaluates h and its slope at node k.
func (r *ordinalMixed) atNode(p *ratingPattern, psi []float64, sigma, b float64, k int) (ok bool) {
	h, slope := -b*b/2, -b
	factor, product := math.Exp(-sigma*b), 1.0
	cells := r.state.nodes[k*len(p.cells):]
	for i, c := range p.cells {
		if r.link == Logit {
			odds := r.odds.Row(c.kind)
			var probability float64
			cells[i], probability, ok = logitSlopes(odds[c.category+1]*factor, odds[c.category]*factor)
			if product *= probability; c.n != 1 || product < 1e-100 {
				h += math.Log(product) + (c.n-1)*math.Log(probability)
				product = 1
			}
		} else {
			upper, lower := categoryEnds(psi, c.category, r.categories)
			shift := r.eta[c.kind] + sigma*b
			var at cell
			at, ok = r.link.simpleCell(upper-shift, lower-shift)
			cells[i] = slopes{at.upper, at.lower, at.s1}
			h += c.n * at.logP
		}
		if !ok {
			return false
		}
		slope -= sigma * c.n * cells[i].s1
	}
	r.state.logF[k], r.state.rest[k], r.state.slope[k] = h, product, slope
	return true
}

// quadratureWeights are a group's mode, the spread of its nodes and how its
// log-likelihood answers to D and to the mode.
type quadratureWeights struct {
	b, spread, toD, toMode, s1, s2, s3 float64
}

// subtractGradient adds minus the gradient of a group's log-likelihood: the
// integrand's own at the nodes, and what moves the mode and D.
func (r *ordinalMixed) subtractGradient(p *ratingPattern, psi, grad []float64, q quadratureWeights) {
	thresholds, last := r.categories-1, len(psi)-1
	sigma := psi[last]
	toSigma := q.toMode*(-q.s1+sigma*q.b*q.s2) + q.toD*(-2*sigma*q.s2+sigma*sigma*q.b*q.s3)
	for i, c := range p.cells {
		at := &r.state.at[i]
		up := -sigma * (q.toMode*at.s1Upper + sigma*q.toD*at.s2Upper)
		low := -sigma * (q.toMode*at.s1Low + sigma*q.toD*at.s2Low)
		shift := sigma * (q.toMode*at.s2 + sigma*q.toD*at.s3)
		for k, x := range r.node {
			node := &r.state.nodes[k*len(p.cells)+i]
			w := r.state.share[k]
			up += w * node.upper
			low += w * node.lower
			shift -= w * node.s1
			toSigma -= w * c.n * node.s1 * (q.b + q.spread*x)
		}
		n := p.count * c.n
		if c.category < thresholds {
			grad[c.category] -= n * up
		}
		if c.category > 0 {
			grad[c.category-1] -= n * low
		}
		numeric.Axpy(-n*shift, r.x.Row(c.kind), grad[thresholds:last])
	}
	grad[last] -= p.count * toSigma
}

// randomOrdinal is the fit with random level.
type randomOrdinal struct {
	psi       []float64
	value     float64
	hess      numeric.Matrix
	converged bool
}

// fit maximises the likelihood: quasi-Newton steps in the metric of the model
// without random level, then Newton steps with the Hessian by differences.
func (r *ordinalMixed) fit(fixed fixedOrdinal) randomOrdinal {
	k := len(fixed.point.psi) + 1
	metric := numeric.NewMatrix(k, k)
	for i := range k - 1 {
		copy(metric.Row(i), fixed.point.hess.Row(i))
	}
	metric.Set(k-1, k-1, float64(r.groups)/2)
	start := append(slices.Clone(fixed.point.psi), 1)
	psi, value, converged := numeric.MinimiseQuasiNewton(start, metric, r.evaluate)
	for range 5 {
		hess, grad, ok := r.hessian(psi)
		if !ok {
			hess, grad = numeric.DifferenceHessian(psi, r.evaluate)
		}
		point := &ordinalPoint{psi, value, grad, hess}
		step, decrease := numeric.NewtonStep(point)
		out := randomOrdinal{psi, value, hess, converged && decrease < 1e-6}
		if decrease < 1e-9 {
			return out
		}
		next := slices.Clone(psi)
		numeric.Axpy(1, step, next)
		v, ok := r.evaluate(next, make([]float64, k))
		if !ok || v > value {
			return out
		}
		psi, value, converged = next, v, true
	}
	hess, _ := numeric.DifferenceHessian(psi, r.evaluate)
	return randomOrdinal{psi, value, hess, false}
}
