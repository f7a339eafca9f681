package analysis

import (
	"cloche/internal/stats"
	"cloche/internal/study"
)

// WayCurve is the power of one way to ask, with each assessor asked once, at the panels of
// [Size.WaySizes].
type WayCurve struct {
	Question study.Question
	Own      bool // it is the question that was sized
	Needed   int
	Power    []float64
}

// wayCurves draw the question that is sized and its other ways beside one another, for the
// distance that they find: up to well beyond what the question itself needs.
func (z *Size) wayCurves() {
	if len(z.OtherWays) == 0 {
		return
	}
	q := z.Request
	ways := append([]OtherWay{{Question: study.Question(q.Test)}}, z.OtherWays...)
	methods := make([]sizeMethod, len(ways))
	for i, w := range ways {
		a, _ := answeringOf(w.Question)
		side := stats.Greater
		if i == 0 && q.Sides == study.TwoSided { // as it is planned
			side = stats.TwoSided
		}
		methods[i] = sizeOfChoice(q.oneWay(z.AtDistance), *a.sized, side)
		if i == 0 && methods[i].power(largestPanel) >= q.Power {
			_, ways[i].Needed = methods[i].needed()
		}
	}
	far := max(curveLeast, ways[0].Needed+ways[0].Needed/4, q.Assessors)
	step := niceStep(far)
	for n := step; n < far+step; n += step {
		z.WaySizes = append(z.WaySizes, n)
	}
	for i, w := range ways {
		c := WayCurve{Question: w.Question, Own: i == 0, Needed: w.Needed}
		for _, n := range z.WaySizes {
			power := 0.
			if n >= methods[i].fewest() {
				power = methods[i].power(n)
			}
			c.Power = append(c.Power, power)
		}
		z.Ways = append(z.Ways, c)
	}
}

// oneWay is the question of size for one way to ask, at a distance, each assessor asked once.
func (q Sizing) oneWay(distance float64) Sizing {
	return Sizing{Alpha: q.Alpha, Beta: q.Beta, Alike: q.Alike, Power: q.Power, Distance: distance, Each: Part{1, 1}}
}
