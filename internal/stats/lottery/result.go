package lottery

import (
	"math"
	"slices"

	"cloche/internal/stats"
)

// Result is the outcome of a randomisation test. P-values are NaN where the draw of the
// plan itself has nothing to compare.
type Result struct {
	N          int     // people who were compared
	Difference float64 // of the means, first minus second
	Statistic  float64 // the difference over its standard error, or itself where that is Plain
	Draws      int     // of the lottery, but for the plan itself where they are random
	Exact      bool    // every draw was counted
	TwoSided   float64 // twice the smaller of the next two, at most 1
	Greater    float64
	Less       float64
	Floor      float64 // the least TwoSided that the lottery can give
	Fixed      bool    // every draw gives the same: the lottery never parts the two

	trial  Trial
	seen   draw
	draws  []draw
	weight float64 // of all draws
	edges  []edge  // where the statistic is linear in a shift, or nil
}

// edge is the shift at which a draw gives as much as the plan: from there on up it
// reaches the plan on the upper side, down from there on the lower side. Draws that a
// shift moves as much as the plan have none: they reach it always, or never.
type edge struct{ shift, weight float64 }

// tolerance is what counts as equal: sums of the same ratings in another order.
const tolerance = 1e-9

// differenceAndStatistic are those of a draw with a shift taken off.
func (t *Trial) differenceAndStatistic(d *draw, shift float64) (difference, statistic float64) {
	difference, variance := d.arm[0].meanVar(shift)
	if t.Groups {
		mean, v := d.arm[1].meanVar(shift)
		difference, variance = difference-mean, variance+v
	}
	switch {
	case t.Plain || math.IsNaN(difference):
		return difference, difference
	case math.Abs(difference) <= tolerance*math.Sqrt(variance):
		return difference, 0
	case variance == 0 || math.IsNaN(variance):
		return difference, math.Copysign(math.Inf(1), difference)
	}
	return difference, difference / math.Sqrt(variance)
}

// reaches reports whether one number is as large as another, but for rounding.
func reaches(v, seen float64) bool {
	return v >= seen || v >= seen-tolerance*max(1, math.Abs(seen))
}

// shares are the probabilities of draws that give at least, and at most, what the plan
// gives when a shift is taken off.
func (r *Result) shares(shift float64) (greater, less float64) {
	return r.share(r.reaching(shift, -1, nil, nil), r.weight), r.share(r.reaching(shift, 1, nil, nil), r.weight)
}

// share is that of draws of some weight: with the plan itself among them where they are
// random.
func (r *Result) share(weight, all float64) float64 {
	if r.Exact {
		return min(1, weight/all)
	}
	return (1 + weight) / (1 + all)
}

// conclude fills the p-values.
func (r *Result) conclude() {
	r.Difference, r.Statistic = r.trial.differenceAndStatistic(&r.seen, 0)
	r.N = int(r.seen.arm[0].n + r.seen.arm[1].n)
	nan := math.NaN()
	r.TwoSided, r.Greater, r.Less = nan, nan, nan
	if math.IsNaN(r.Difference) {
		return
	}
	r.Greater, r.Less = r.shares(0)
	r.TwoSided = min(1, 2*min(r.Greater, r.Less))
	r.Floor = min(1, 2*r.share(r.weightOfSeen(), r.weight))
	r.Fixed = !slices.ContainsFunc(r.draws, func(d draw) bool { return d.arm != r.seen.arm })
	if r.linear() {
		r.findEdges()
	}
}

// weightOfSeen is that of the draws that give just what the plan gives: no one-sided p is
// smaller, as all plans are alike in that. Of random draws the plan alone counts.
func (r *Result) weightOfSeen() (sum float64) {
	if !r.Exact {
		return 0
	}
	for i := range r.draws {
		if r.draws[i].arm == r.seen.arm {
			sum += r.draws[i].weight
		}
	}
	return sum
}

// linear reports whether the statistic puts the draws in the same order as the
// difference whatever shift is taken off: it is the difference, or all draws have the
// same people and squares.
func (r *Result) linear() bool {
	if r.trial.Plain {
		return true
	}
	if r.trial.Groups {
		return false
	}
	a := r.seen.arm[0]
	near := func(x, y float64) bool { return math.Abs(x-y) <= tolerance*(1+math.Abs(y)) }
	return !slices.ContainsFunc(r.draws, func(d draw) bool {
		b := d.arm[0]
		return b.n != a.n || !near(b.yy, a.yy) || !near(b.uu, a.uu) || !near(b.yu, a.yu)
	})
}

// moved is how much of a shift is in the difference of a draw: 1 in that of the plan.
func (t *Trial) moved(d *draw) float64 {
	if t.Groups {
		return d.arm[0].u/d.arm[0].n - d.arm[1].u/d.arm[1].n
	}
	return d.arm[0].u / d.arm[0].n
}

func (r *Result) findEdges() {
	r.edges = make([]edge, 0, len(r.draws))
	for i := range r.draws {
		d := &r.draws[i]
		v, _ := r.trial.differenceAndStatistic(d, 0)
		stays := 1 - r.trial.moved(d)
		switch {
		case stays > tolerance:
			r.edges = append(r.edges, edge{(r.Difference - v) / stays, d.weight})
		case math.Abs(v-r.Difference) <= tolerance*max(1, math.Abs(r.Difference)): // reaches always
			r.edges = append(r.edges, edge{math.NaN(), d.weight})
		default: // a third sample took the place of the second: it moves with the plan, above it or below
			r.edges = append(r.edges, edge{math.Copysign(math.Inf(1), r.Difference-v), d.weight})
		}
	}
}

// Interval holds the shifts that neither one-sided test refuses at (1 − level)/2. An end
// is infinite where the lottery has too few draws to refuse any.
func (r *Result) Interval(level float64) stats.Interval {
	tail := (1 - level) / 2
	if math.IsNaN(r.Greater) || !(tail > 0) || r.draws == nil {
		return stats.NoInterval(level)
	}
	if r.edges != nil {
		return stats.Interval{Lo: r.edgeAt(tail, 1), Hi: r.edgeAt(tail, -1), Level: level}
	}
	return stats.Interval{Lo: r.search(tail, -1), Hi: r.search(tail, 1), Level: level}
}

// edgeAt is the least shift that is not refused (side 1), or the greatest (side −1).
func (r *Result) edgeAt(tail, side float64) float64 {
	edges := make([]edge, 0, len(r.edges))
	all, reached := r.weight, 0.0
	for _, e := range r.edges {
		if math.IsNaN(e.shift) {
			reached += e.weight
			continue
		}
		edges = append(edges, edge{side * e.shift, e.weight})
	}
	need := tail * (1 + tolerance) * all
	if !r.Exact {
		need = tail*(1+tolerance)*(1+all) - 1
	}
	if need -= reached; need < 0 {
		return -side * math.Inf(1)
	}
	return side * beyondWeight(edges, need)
}

// beyondWeight is the least shift up to which the edges weigh more than so much; their
// order is lost. Hoare (1961), Commun. ACM 4:321, with weights.
func beyondWeight(edges []edge, need float64) float64 {
	for len(edges) > 0 {
		pivot := edges[len(edges)/2].shift
		below, above := 0, len(edges) // edges[:below] < pivot, edges[above:] > pivot
		under, at := 0.0, 0.0
		for i := 0; i < above; {
			switch e := edges[i]; {
			case e.shift < pivot:
				under += e.weight
				edges[i], edges[below] = edges[below], e
				below++
				i++
			case e.shift > pivot:
				above--
				edges[i], edges[above] = edges[above], e
			default:
				at += e.weight
				i++
			}
		}
		switch {
		case under > need:
			edges = edges[:below]
		case under+at > need:
			return pivot
		default:
			need -= under + at
			edges = edges[above:]
		}
	}
	return math.Inf(1)
}

// Forget lets go of the draws, which take much room: the result has no [Result.Interval]
// from then on.
func (r *Result) Forget() { r.draws, r.edges, r.trial = nil, nil, Trial{} }

// reach is the distance of the ratings farthest apart; never 0.
func (r *Result) reach() float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range r.trial.Value {
		if !math.IsNaN(v) {
			low, high = min(low, v), max(high, v)
		}
	}
	return max(high-low, tolerance)
}
