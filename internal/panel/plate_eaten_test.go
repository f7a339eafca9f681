package panel_test

import (
	"testing"

	"cloche/internal/design"
	"cloche/internal/panel"
)

// TestWhatIsEatenIsNoLongerOut: a plate that is answered counts as eaten for the kitchen,
// whether floor noted it as served or not, and until then as out where floor did.
func TestWhatIsEatenIsNoLongerOut(t *testing.T) {
	for name, noted := range map[string]bool{"noted as served": true, "not noted as served": false} {
		t.Run(name, func(t *testing.T) {
			n := newNight(t, custard)
			token := n.guest("one")
			b := ballot(t, n.svc, token).Turn
			before := panel.PlateNow
			if noted {
				n.must(n.svc.Serve(t.Context(), n.floor, b.ID, panel.PhoneAct{}))
				before = panel.PlateServed
			}
			if got := n.plate(1, design.Code(b.Code)); got != before {
				t.Errorf("before the answer: %s, want %s", got, before)
			}
			n.taste(token)
			if got := n.plate(1, design.Code(b.Code)); got != panel.PlateEaten {
				t.Errorf("after the answer: %s, want eaten", got)
			}
			out, eaten := 0, 0
			for _, w := range of[panel.KitchenSheet](n)(n.svc.KitchenSheet(t.Context(), n.kitchen)).Waves {
				for _, c := range w.Counts {
					out, eaten = out+c.Served, eaten+c.Eaten
				}
			}
			if out != 0 || eaten != 1 {
				t.Errorf("%d plates are out and %d eaten, want none and 1", out, eaten)
			}
		})
	}
}
