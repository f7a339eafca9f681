package lottery

import "math"

const (
	halvings   = 40 // of what holds the end of an interval
	ofAllDraws = 6  // of these: then what holds it is narrow
)

// search finds the end of the interval on a side by halving: shares rise towards the
// difference.
func (r *Result) search(tail, side float64) float64 {
	refused := func(shift float64) bool { return r.refuses(r.reaching(shift, side, nil, nil), tail) }
	step := r.reach() / 64
	inside := r.Difference
	outside := inside + side*step
	for ; !refused(outside); outside = inside + side*step {
		if inside, step = outside, 2*step; step > 4*r.reach() {
			return side * math.Inf(1)
		}
	}
	inside, outside = halve(inside, outside, ofAllDraws, refused)
	end, beyond := r.halveAmong(tail, side, inside, outside)
	if !refused(end) && refused(beyond) {
		return end
	}
	end, _ = halve(inside, outside, halvings-ofAllDraws, refused) // a draw turned twice
	return end
}

func halve(inside, outside float64, times int, refused func(shift float64) bool) (in, out float64) {
	for range times {
		if middle := (inside + outside) / 2; refused(middle) {
			outside = middle
		} else {
			inside = middle
		}
	}
	return inside, outside
}

// halveAmong goes on halving with those draws alone that reach the plan at one end of
// what is left and not at the other: the others do at both ends, or at none.
func (r *Result) halveAmong(tail, side, inside, outside float64) (in, out float64) {
	open := make([]*draw, len(r.draws))
	for i := range r.draws {
		open[i] = &r.draws[i]
	}
	in, out = inside, outside
	atIn, atOut := make([]bool, len(open)), make([]bool, len(open))
	r.reaching(in, side, open, atIn)
	r.reaching(out, side, open, atOut)
	always, atMiddle := 0.0, make([]bool, len(open))
	for range halvings - ofAllDraws {
		kept := 0
		for i, d := range open {
			switch {
			case atIn[i] != atOut[i]:
				open[kept], atIn[kept], atOut[kept] = d, atIn[i], atOut[i]
				kept++
			case atIn[i]:
				always += d.weight
			}
		}
		open, atIn, atOut, atMiddle = open[:kept], atIn[:kept], atOut[:kept], atMiddle[:kept]
		middle := (in + out) / 2
		if r.refuses(always+r.reaching(middle, side, open, atMiddle), tail) {
			out, atOut, atMiddle = middle, atMiddle, atOut
			continue
		}
		in, atIn, atMiddle = middle, atMiddle, atIn
	}
	return in, out
}

// refuses reports whether so much weight of draws that reach the plan refuses a shift.
func (r *Result) refuses(weight, tail float64) bool {
	return r.share(weight, r.weight) <= tail*(1+tolerance)
}

// reaching is the weight of the draws, of all where none are given, that give at least
// what the plan gives when a shift is taken off (side −1), or at most (side 1). A draw
// with nothing to compare reaches both. It notes which in reached, where that is given.
func (r *Result) reaching(shift, side float64, draws []*draw, reached []bool) (weight float64) {
	_, seen := r.trial.differenceAndStatistic(&r.seen, shift)
	n := len(draws)
	if draws == nil {
		n = len(r.draws)
	}
	for i := range n {
		var d *draw
		if draws == nil {
			d = &r.draws[i]
		} else {
			d = draws[i]
		}
		_, v := r.trial.differenceAndStatistic(d, shift)
		is := false
		if side < 0 {
			is = !(v < seen) || reaches(v, seen)
		} else {
			is = !(v > seen) || reaches(-v, -seen)
		}
		if is {
			weight += d.weight
		}
		if reached != nil {
			reached[i] = is
		}
	}
	return weight
}
