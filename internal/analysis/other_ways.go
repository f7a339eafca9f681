package analysis

import (
	"slices"

	"cloche/internal/stats"
	"cloche/internal/study"
)

// OtherWay is another question with right answers that finds the same difference
// between two samples, and what that takes.
type OtherWay struct {
	Question study.Question
	Needed   int  // assessors, with one trial each
	Servings int  // of one trial
	Named    bool // it asks who has more of one attribute: it finds a difference in that alone
}

// Portions are the servings of the whole panel.
func (w OtherWay) Portions() int { return w.Needed * w.Servings }

// otherWays are what finding the same distance d′, or where none is stated that which the
// panel planned finds, takes by every other question whose answers are right or wrong: at
// the same error rates, one-sided, with one trial to each assessor. The fewest portions come
// first. A question that names what differs is answered by comparing; one that does not, by
// finding the odd one out, which takes more people for the same distance (Frijters 1979;
// Ennis & Jesionka 2011).
func (z *Size) otherWays() {
	q := z.Request
	own, ok := q.Test.Choice()
	if !ok || !own.Distance {
		return
	}
	distance := z.Planned.Distance
	switch {
	case q.Distance > 0:
		distance = q.Distance
	case q.Share > 0:
		_, distance = own.looked(own.share(q))
	}
	if !(distance > 0) {
		return
	}
	for _, a := range answerings {
		if a.sized == nil || !a.sized.Distance || SizedTest(a.question) == q.Test {
			continue
		}
		kind := a.question.Kind()
		if q.Alike && !a.question.Kind().Tells {
			continue
		}
		m := sizeOfChoice(q.oneWay(distance), *a.sized, stats.Greater)
		if m.power(largestPanel) < q.Power {
			continue
		}
		_, needed := m.needed()
		z.OtherWays = append(z.OtherWays, OtherWay{a.question, needed, kind.Servings,
			kind.Attributes == study.OneNamed})
	}
	z.AtDistance = distance
	slices.SortStableFunc(z.OtherWays, func(a, b OtherWay) int { return a.Portions() - b.Portions() })
}
