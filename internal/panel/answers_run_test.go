package panel_test

import (
	"fmt"
	"os"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// TestDifferenceIsRunToItsAnswer: people answer what is asked of trays and of single
// plates on their phones and through floor; the answer counts what they said against what
// was served.
func TestDifferenceIsRunToItsAnswer(t *testing.T) {
	for _, name := range []string{"made-yesterday", "house-custard", "saltier-of-two", "smokiest-of-three",
		"our-custard-or-not", "same-or-different"} {
		t.Run(name, func(t *testing.T) {
			file, err := os.ReadFile("../../studies/" + name + ".yaml")
			if err != nil {
				t.Fatal(err)
			}
			n := newNight(t, string(file))
			stored, plan, err := n.svc.Preview(t.Context(), n.study)
			n.must(err)
			var want answerCount
			for i := range 10 {
				token := n.guest(fmt.Sprint(i))
				for turn := range plan.Turns(i) {
					if turn.Sitting == 1 {
						n.answerTurn(token, i, turn, stored.Spec, plan.Samples, &want)
					}
				}
			}
			n.closed()
			_, found, err := n.svc.Findings(t.Context(), n.study)
			n.must(err)
			f := found.Findings[0]
			if f.Kind != analysis.KindChoice || f.N != want.turns {
				t.Fatalf("found %s of %d turns, want %d", f.Kind, f.N, want.turns)
			}
			switch c := f.Choice; {
			case c.Told != nil && c.Told.Right != want.right,
				c.Preferred != nil && c.Preferred.First != want.first,
				c.Said != nil && (c.Said.X1 != want.said[1] || c.Said.X2 != want.said[0]):
				t.Errorf("found %+v %+v %+v, want %+v", c.Told, c.Preferred, c.Said, want)
			}
		})
	}
}

// answerCount is what was answered, by the plan's own key.
type answerCount struct {
	turns, right, first int
	said                [2]int // the first thing, of turns of which it is not true and true
}

// answerTurn answers what is due, by phone or through floor.
func (n *night) answerTurn(token panel.SeatToken, i int, turn design.Turn, s *study.Study, samples []study.SampleID,
	want *answerCount) {
	n.t.Helper()
	b := ballot(n.t, n.svc, token)
	for b.Stage == panel.StageRinse {
		n.clock.pass(10 * time.Second)
		b = ballot(n.t, n.svc, token)
	}
	sub := panel.Submission{ID: fmt.Sprint(i, " ", turn.Number), TurnID: b.Turn.ID, Given: map[string]string{}}
	if len(b.Turn.Asks) > 0 {
		pick := (i+int(turn.Number))%2 + 1
		if s.Question.Response() == study.ChooseOne {
			for b.Turn.Plates[pick-1].Known {
				pick++
			}
		}
		sub.Given[b.Turn.Asks[0].Field] = fmt.Sprint(pick)
		want.count(turn, s, samples, pick)
	}
	if i%2 == 0 {
		_, err := n.svc.Submit(n.t.Context(), token, sub)
		n.must(err)
		return
	}
	n.must(last(n.svc.Enter(n.t.Context(), n.floor, sub)))
}

func (c *answerCount) count(turn design.Turn, s *study.Study, samples []study.SampleID, pick int) {
	c.turns++
	served := map[study.SampleID]int{}
	reference := study.SampleID("")
	for _, v := range turn.Servings {
		if v.Role == design.Reference {
			reference = samples[v.Sample]
			continue
		}
		served[samples[v.Sample]]++
	}
	if s.Question.Response() == study.SayOneOfTwo {
		isTrue := 0
		if len(turn.Servings) == 1 && served[s.Samples[0].ID] == 1 || len(turn.Servings) == 2 && len(served) == 1 {
			isTrue = 1
		}
		if pick == 1 {
			c.said[isTrue]++
		}
		return
	}
	chosen := samples[turn.Servings[pick-1].Sample]
	if chosen == s.Plan.Compare[0] {
		c.first++
	}
	switch {
	case reference != "":
		c.right += b2i(chosen == reference)
	case s.Plan.Compare[0] != "":
		c.right += b2i(chosen == s.Plan.Compare[0])
	default:
		c.right += b2i(served[chosen] == 1)
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
