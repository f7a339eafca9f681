package report_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/study"
)

// TestDeviationsAddUp holds of random evenings that what differed from the plan and who came
// how far say the same, and that every turn that was asked of somebody is in one count.
func TestDeviationsAddUp(t *testing.T) {
	for seed := range 1000 {
		rng := rand.New(rand.NewPCG(uint64(seed), 16))
		flow, r, c := evening(rng)
		found := map[string]int{}
		for _, d := range report.Deviations(flow, r, c) {
			if d.N < 1 || d.Of != 0 && d.N > d.Of {
				t.Fatalf("seed %d: %d of %d %s", seed, d.N, d.Of, d.Text)
			}
			found[d.Text] += d.N
		}
		steps := report.FlowSteps(&flow, r)
		for _, aside := range slices.Concat(steps[0].Aside[:0], steps[1].Aside, steps[2].Aside, steps[3].Aside) {
			if aside.Text != "finished" && found[aside.Text] != aside.N {
				t.Errorf("seed %d: the flow has %d who %q, the deviations %d", seed, aside.N, aside.Text,
					found[aside.Text])
			}
		}
		asked, answered := 0, 0
		withdrew := map[int]bool{}
		for _, a := range c.People {
			withdrew[a.Place] = !a.WithdrawnAt.IsZero()
		}
		for _, x := range c.Turns {
			if out, came := withdrew[x.Place]; came && !out && x.Response != study.TasteOnly {
				asked++
			}
		}
		seen := map[string]bool{}
		for _, a := range c.Answers {
			seen[fmt.Sprint(a.Place, a.Turn)] = true
		}
		answered = len(seen)
		if got := found["were not wanted"] + found["were not answered, or did not go out"] + answered; got != asked {
			t.Errorf("seed %d: %d turns are counted of %d", seed, got, asked)
		}
	}
}

// evening is a study of random course: its counts are of the same people as its records.
func evening(rng *rand.Rand) (flow report.Flow, r *analysis.Result, c panel.Collected) {
	night := time.Date(2026, 11, 20, 20, 0, 0, 0, time.UTC)
	flow.Places = 1 + rng.IntN(8)
	some := func(n int) int { return rng.IntN(n + 1) }
	for place := range flow.Places {
		if rng.IntN(4) == 0 {
			continue
		}
		a := panel.Assessor{Place: place}
		flow.Seated++
		switch rng.IntN(4) {
		case 0:
			flow.Finished++
		case 1:
			flow.Left++
		case 2:
			flow.Stopped++
		default:
			flow.Withdrawn++
			a.WithdrawnAt = night
		}
		c.People = append(c.People, a)
		for order := range 3 {
			x := panel.Turn{Place: place, Order: order, Response: study.Rate,
				Servings: make([]panel.Serving, 1+some(2))}
			if rng.IntN(5) == 0 {
				x.Response = study.TasteOnly
			}
			if rng.IntN(4) == 0 {
				x.RefusedAt = night
			}
			if rng.IntN(4) == 0 {
				x.Servings[0].RevealedAt = night
			}
			c.Turns = append(c.Turns, x)
			if x.Response == study.TasteOnly || !a.WithdrawnAt.IsZero() || rng.IntN(3) == 0 {
				continue
			}
			for range 1 + some(2) { // answers of one turn
				c.Answers = append(c.Answers, panel.KeyedAnswer{Place: place, Turn: order + 1,
					NotSetDown: rng.IntN(2) == 0, Took: time.Duration(some(3600)) * time.Second})
			}
		}
	}
	r = &analysis.Result{Assessors: flow.Finished}
	for i, reason := range []string{analysis.ReasonWithdrawn, "said yes to a cold"} {
		if n := some(flow.Seated); n > 0 {
			r.Excluded = append(r.Excluded, analysis.Exclusion{Reason: reason, Count: n - n*i/2})
		}
	}
	r.AfterClose.Assessors = some(flow.Seated)
	return flow, r, c
}
