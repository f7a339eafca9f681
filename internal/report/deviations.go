package report

import (
	"fmt"
	"slices"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// Deviation is something that went otherwise than planned, as far as it is on record.
type Deviation struct {
	What string // a stable word
	N    int
	Of   int // out of how many; 0 = not counted so
	Unit string
	Text string
}

// The units of deviations.
const (
	ofPeople = "assessors"
	ofTurns  = "turns"
	ofGiven  = "answered turns"
	ofPlates = "plates"
	ofPlan   = "plan"
)

// Deviations are what went otherwise than planned: with people, as the flow counts them,
// with turns and plates, as floor and phones noted it, and with the plan itself. Empty
// when nothing is on record.
func Deviations(flow Flow, r *analysis.Result, c panel.Collected) []Deviation {
	all := slices.Concat(ofWhoCame(flow, r), ofTheRoom(c), ofThePlan(r))
	return slices.DeleteFunc(all, func(d Deviation) bool { return d.N == 0 })
}

func ofWhoCame(flow Flow, r *analysis.Result) []Deviation {
	all := []Deviation{
		{"place-not-taken", max(0, flow.Places-flow.Seated), flow.Places, ofPeople, "places that nobody took"},
		{"left-early", flow.Left, flow.Seated, ofPeople, "left early; what they had answered is kept"},
		{"not-finished", flow.Stopped, flow.Seated, ofPeople, "had not finished when the study was closed"},
		{"withdrew", flow.Withdrawn, flow.Seated, ofPeople, "deleted their answers"},
	}
	for _, x := range r.Excluded {
		if x.Reason == analysis.ReasonWithdrawn {
			continue // counted above
		}
		text := "left out: " + x.Reason
		if analysis.FromComparisons(x.Reason) {
			text = "left out of one comparison or more: " + x.Reason
		}
		all = append(all, Deviation{"left-out", x.Count, flow.Seated, ofPeople, text})
	}
	return append(all, Deviation{"after-close", r.AfterClose.Assessors, flow.Seated, ofPeople,
		"sent answers after the close too; these are kept aside"})
}

// ofTheRoom counts the turns of those who took a place and kept their answers.
func ofTheRoom(c panel.Collected) []Deviation {
	asked, answered, plates := askedTurns(c)
	n := map[string]int{}
	seen := map[[2]int]bool{}
	for _, a := range c.Answers {
		at := [2]int{a.Place, a.Turn}
		if seen[at] || !answered[at] {
			continue
		}
		seen[at] = true
		count(n, "not-set-down", a.NotSetDown)
		count(n, "answered-late", analysis.AnsweredLate(a.Took.Seconds()))
		count(n, "answered-soon", analysis.AnsweredSoon(a.Took.Seconds()))
		for _, x := range a.Incidents {
			n[string(x)]++
		}
	}
	for at, x := range asked {
		count(n, "refused", !answered[at] && !x.RefusedAt.IsZero())
		count(n, "not-answered", !answered[at] && x.RefusedAt.IsZero())
		for _, v := range x.Servings {
			count(n, "blind-broken", !v.RevealedAt.IsZero())
		}
	}
	for _, x := range c.Dropped {
		count(n, "dropped", x.TakenBack.IsZero())
	}
	all := []Deviation{
		{"refused", n["refused"], len(asked), ofTurns, "were not wanted"},
		{"not-answered", n["not-answered"], len(asked), ofTurns, "were not answered, or did not go out"},
		{"blind-broken", n["blind-broken"], plates, ofPlates, "of which the blind was broken, for safety"},
		{"dropped", n["dropped"], plates, ofPlates, "were dropped, and plated anew under another code"},
		{"not-set-down", n["not-set-down"], len(answered), ofGiven, "have a plate that nobody noted as set down"},
		{"answered-late", n["answered-late"], len(answered), ofGiven,
			"got their answers so long after the plate was set down that these are from memory perhaps"},
		{"answered-soon", n["answered-soon"], len(answered), ofGiven,
			"got their answers sooner after the plate was noted as set down than one can taste"},
	}
	for _, x := range panel.Incidents() {
		all = append(all, Deviation{string(x), n[string(x)], len(answered), ofGiven,
			"are noted by floor as: " + x.Words()})
	}
	return all
}

func count(n map[string]int, what string, is bool) {
	if is {
		n[what]++
	}
}

// askedTurns are the turns of which something was asked of people who took a place and kept
// their answers, by place and turn from 1, those that were answered, and all their plates.
func askedTurns(c panel.Collected) (asked map[[2]int]panel.Turn, answered map[[2]int]bool, plates int) {
	asked, answered = map[[2]int]panel.Turn{}, map[[2]int]bool{}
	here := map[int]bool{}
	for _, a := range c.People {
		here[a.Place] = a.WithdrawnAt.IsZero()
	}
	for _, x := range c.Turns {
		if here[x.Place] && len(x.Servings) > 0 && x.Response != study.TasteOnly {
			asked[[2]int{x.Place, x.Order + 1}] = x
			plates += len(x.Servings)
		}
	}
	for _, a := range c.Answers {
		at := [2]int{a.Place, a.Turn}
		if _, there := asked[at]; there {
			answered[at] = true
		}
	}
	return asked, answered, plates
}

// ofThePlan says what changed after the first rating, and how tasting ended otherwise.
func ofThePlan(r *analysis.Result) (all []Deviation) {
	for _, v := range r.Versions {
		if v.Before > 0 {
			all = append(all, Deviation{"changed-plan", 1, 0, ofPlan, fmt.Sprintf(
				"version %d of the plan was started when %d of the version before had their ratings: %s", v.Number,
				v.Before, v.Reason)})
		}
	}
	if r.Stopping == nil {
		return all
	}
	for _, w := range r.Stopping.Deviations {
		all = append(all, Deviation{"stopping", 1, 0, ofPlan, w.Text})
	}
	return all
}

// Said is the deviation as a page says it.
func (d Deviation) Said() string {
	switch {
	case d.Unit == ofPlan:
		return upperFirst(d.Text) + "."
	case d.Of == 0:
		return fmt.Sprintf("%d %s %s.", d.N, d.Unit, d.Text)
	case d.What == "place-not-taken":
		return fmt.Sprintf("%d of %d %s.", d.N, d.Of, d.Text)
	}
	return fmt.Sprintf("%d of %d %s %s.", d.N, d.Of, d.Unit, d.Text)
}
