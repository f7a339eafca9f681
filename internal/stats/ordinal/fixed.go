package ordinal

import (
	"math"

	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// ordinalPoint is minus the log-likelihood of a model without random level.
type ordinalPoint struct {
	psi   []float64 // thresholds, then effects on the standardised columns
	value float64
	grad  []float64
	hess  numeric.Matrix
}

func (p *ordinalPoint) At() []float64                      { return p.psi }
func (p *ordinalPoint) Height() float64                    { return p.value }
func (p *ordinalPoint) Slope() ([]float64, numeric.Matrix) { return p.grad, p.hess }

// fixedOrdinal is the fit without random level.
type fixedOrdinal struct {
	point     *ordinalPoint
	converged bool
}

// fitFixed maximises the likelihood by Newton's method from the thresholds of
// the categories' overall shares.
func (d *ordinalDesign) fitFixed() fixedOrdinal {
	count := numeric.NewMatrix(d.x.Rows, d.categories)
	share := make([]float64, d.categories)
	for i, c := range d.category {
		count.Add(d.kind[i], c, 1)
		share[c] += 1 / float64(len(d.category))
	}
	start := make([]float64, d.categories-1+d.x.Cols)
	below := 0.0
	for j := range d.categories - 1 {
		below += share[j]
		start[j] = math.Log(below / (1 - below))
		if d.link == Probit {
			start[j] = dist.NormalQuantile(below)
		}
	}
	evaluate := func(psi []float64, _ bool) (*ordinalPoint, bool) { return d.evaluate(psi, count) }
	first, _ := evaluate(start, true)
	point, converged := numeric.MinimiseNewton(first, evaluate, nil)
	return fixedOrdinal{point, converged}
}

// categoryEnds returns the thresholds around a category.
func categoryEnds(psi []float64, category, categories int) (upper, lower float64) {
	upper, lower = math.Inf(1), math.Inf(-1)
	if category < categories-1 {
		upper = psi[category]
	}
	if category > 0 {
		lower = psi[category-1]
	}
	return upper, lower
}

// evaluate returns minus the log-likelihood with gradient and Hessian, from
// the number of ratings in each class and category.
func (d *ordinalDesign) evaluate(psi []float64, count numeric.Matrix) (*ordinalPoint, bool) {
	k, thresholds := len(psi), d.categories-1
	p := &ordinalPoint{psi: psi, grad: make([]float64, k), hess: numeric.NewMatrix(k, k)}
	up, low, shift := make([]float64, k), make([]float64, k), make([]float64, k)
	for i := range d.x.Rows {
		eta := numeric.Dot(d.x.Row(i), psi[thresholds:])
		for c := range d.categories {
			n := count.At(i, c)
			if n == 0 {
				continue
			}
			upper, lower := categoryEnds(psi, c, d.categories)
			cell, ok := d.link.fullCell(upper-eta, lower-eta)
			if !ok {
				return p, false
			}
			p.value -= n * cell.logP
			// Directions of the two ends and of a shift in ψ.
			clear(up)
			clear(low)
			if c < thresholds {
				up[c] = 1
			}
			if c > 0 {
				low[c-1] = 1
			}
			for j, v := range d.x.Row(i) {
				shift[thresholds+j] = -v
			}
			p.add(n, cell, up, low, shift)
		}
	}
	return p, true
}

// add adds n ratings of one cell. With u and l the two ends and s a shift,
// log p has the second derivatives ∂s1/∂u − (cross) and so on; in terms of
// the ends alone uu = s1Upper − ul, ll = s1Low − ul, ul = −upper·lower.
func (p *ordinalPoint) add(n float64, c cell, up, low, shift []float64) {
	ul := -c.upper * c.lower
	uu, ll := c.s1Upper-ul, c.s1Low-ul
	for i := range up {
		gi := c.upper*up[i] + c.lower*low[i] + c.s1*shift[i]
		p.grad[i] -= n * gi
		// Curvature towards each end and the shift.
		toUp := uu*up[i] + ul*low[i] + c.s1Upper*shift[i]
		toLow := ul*up[i] + ll*low[i] + c.s1Low*shift[i]
		toShift := c.s1Upper*up[i] + c.s1Low*low[i] + c.s2*shift[i]
		if toUp == 0 && toLow == 0 && toShift == 0 {
			continue
		}
		row := p.hess.Row(i)
		for j := range up {
			row[j] -= n * (toUp*up[j] + toLow*low[j] + toShift*shift[j])
		}
	}
}
