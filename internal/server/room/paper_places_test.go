package room_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestPaperOfOrdersAndPairs: a sheet of an order has a box for each plate's place, one of
// pairs asks which plate goes with the first.
func TestPaperOfOrdersAndPairs(t *testing.T) {
	for _, tc := range []struct {
		name, study, says string
		boxes             int
	}{
		{"order", servertest.Crusts, "Give each its place: 1 is the first.", 4},
		{"pairs", servertest.Creams, "goes with one of the others", 3},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := servertest.New(t)
			id, _ := f.InState(tc.study, panel.Open)
			v := f.Staff(id, panel.RoleFloor)
			nonce := v.Get("/floor/guest").HTML().Find("[name=nonce]").AttrOr("value", "")
			v.Post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes")
			asked := v.Get("/floor/ballots?seat=1").HTML().Find(".asked").First()
			if n := asked.Find(".box").Length(); n != tc.boxes || !strings.Contains(asked.Text(), tc.says) {
				t.Errorf("%d boxes, want %d, and it says %q", n, tc.boxes, asked.Text())
			}
			tray := f.TrayAt(id, 1)
			for _, code := range tray {
				if !strings.Contains(asked.Text(), code) {
					t.Errorf("%s is missing in %q", code, asked.Text())
				}
			}
		})
	}
}
