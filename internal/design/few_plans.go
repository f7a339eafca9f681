package design

import (
	"fmt"

	"cloche/internal/study"
)

// enoughPlans is from how many plans on a lottery can tell something at 5 %, two-sided: the
// least p is two of them.
const enoughPlans = 40

// fewPlans warns, as few-plans, where the plan's own lottery is the test and so few plans could be drawn
// that it can find nothing, or hardly anything.
func fewPlans(s *study.Study, p *Plan) []Warning {
	if s.Plan.Test != study.Lottery || p.OnArrival {
		return nil
	}
	d, err := Redraw(s, p, p.Seed)
	if err != nil {
		return nil
	}
	plans, own := d.plansOf(s.Plan.Compare)
	sides, word := 2.0, "two-sided"
	if s.Plan.Sides == study.Greater || s.Plan.Sides == study.Less {
		sides, word = 1, "one-sided"
	}
	floor := min(1, sides*own)
	if plans == 0 || plans >= enoughPlans && floor < s.Plan.Alpha {
		return nil
	}
	text := fmt.Sprintf("Of %s and %s only %d plans could be drawn, so that the planned lottery gives no p below "+
		"%.3g, %s, whatever is tasted", s.Plan.Compare[0], s.Plan.Compare[1], plans, floor, word)
	if floor >= s.Plan.Alpha {
		text += fmt.Sprintf(": it can find nothing at %g. Invite more people, or plan another test.", s.Plan.Alpha)
	} else {
		text += ": more people would let it say more."
	}
	return []Warning{{"few-plans", text}}
}

// plansOf counts the plans that could be drawn, as far as two samples stand differently in
// them, and says how likely the one that was drawn is; 0 plans where there are very many.
func (d *Redraws) plansOf(pair [2]study.SampleID) (plans int, own float64) {
	first, second := int32(none), int32(none)
	for i, id := range d.plan.Samples {
		switch id {
		case pair[0]:
			first = int32(i)
		case pair[1]:
			second = int32(i)
		}
	}
	stand := func(at int, sample int32) byte {
		switch {
		case !d.drawn(d.plan.Servings[at]):
		case sample == first:
			return 'a'
		case sample == second:
			return 'b'
		}
		return '.'
	}
	asDrawn := make([]byte, len(d.plan.Servings))
	for i, v := range d.plan.Servings {
		asDrawn[i] = stand(i, v.Sample)
	}
	seen := map[string]float64{}
	now := make([]byte, len(asDrawn))
	const most = 20_000 // draws, of which many may be one plan
	if !d.Every(most, func(sample []int32, probability float64) {
		for i, x := range sample {
			now[i] = stand(i, x)
		}
		seen[string(now)] += probability
	}) {
		return 0, 0
	}
	return len(seen), seen[string(asDrawn)]
}
