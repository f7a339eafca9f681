package analysis

import "slices"

const (
	curvePoints = 24 // about so many panels on the curve: a smooth line, and a table that can be read
	curveLeast  = 12 // assessors that the curve reaches at least
)

// curveSizes are the panels at which the curve is drawn: even steps to well
// beyond what is needed or planned, and those that matter by themselves.
func (q Sizing) curveSizes(z *Size) []int {
	needed := z.Needed.Assessors
	far := max(curveLeast, needed+needed/2, q.Assessors+q.Assessors/4)
	if needed == 0 {
		far = max(far, 2*q.Assessors, q.Places)
	}
	if q.Places <= far*2 {
		far = max(far, q.Places)
	}
	far = min(far, largestPanel)
	step := niceStep(far)
	var sizes []int
	for n := step; n < far+step; n += step {
		sizes = append(sizes, n)
	}
	for _, n := range []int{q.Each.assessors(2), needed, q.Assessors, min(q.Places, far)} {
		if n > 0 {
			sizes = append(sizes, n)
		}
	}
	slices.Sort(sizes)
	return slices.Compact(sizes)
}

// niceStep is the smallest of 1, 2, 5, 10, 20, 50, … that reaches far in at most
// curvePoints steps.
func niceStep(far int) int {
	for ten := 1; ; ten *= 10 {
		for _, k := range []int{1, 2, 5} {
			if k*ten*curvePoints >= far {
				return k * ten
			}
		}
	}
}
