package panel_test

import (
	"fmt"
	"os"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/panel"
)

// TestPreferenceIsRunToItsAnswer: people choose one of two plates, or none, on their
// phones and through floor; the answer counts them by sample.
func TestPreferenceIsRunToItsAnswer(t *testing.T) {
	file, err := os.ReadFile("../../studies/browned-butter.yaml")
	if err != nil {
		t.Fatal(err)
	}
	n := newNight(t, string(file))
	ctx := t.Context()
	stored, plan, err := n.svc.Preview(ctx, n.study)
	n.must(err)
	want := map[string]int{}
	for i := range 12 {
		token := n.guest(fmt.Sprint(i))
		b := ballot(t, n.svc, token)
		if len(b.Turn.Plates) != 2 || b.Turn.Asks[0].Text != "Which do you like better?" ||
			b.Turn.Asks[0].None != "No preference" {
			t.Fatalf("the ballot %+v", b.Turn)
		}
		sub := panel.Submission{ID: "x", TurnID: b.Turn.ID, Given: map[string]string{"choice": fmt.Sprint(i % 3)}}
		chosen := "none"
		if at := i % 3; at > 0 {
			for turn := range plan.Turns(i) {
				chosen = string(plan.Samples[turn.Servings[at-1].Sample])
			}
		}
		want[chosen]++
		if i%2 == 0 {
			r := of[panel.Receipt](n)(n.svc.Submit(ctx, token, sub))
			if r.Held["choice"] != fmt.Sprint(i%3) {
				t.Errorf("held %+v", r.Held)
			}
			continue
		}
		n.must(last(n.svc.Enter(ctx, n.floor, sub)))
	}
	n.closed()
	_, found, err := n.svc.Findings(ctx, n.study)
	n.must(err)
	f := found.Findings[0]
	p := f.Choice.Preferred
	compared := stored.Spec.Plan.Compare
	if f.Kind != analysis.KindChoice || p == nil || p.First != want[string(compared[0])] ||
		p.Second != want[string(compared[1])] || p.None != want["none"] {
		t.Errorf("found %+v, want %v of %v", p, want, compared)
	}
}
