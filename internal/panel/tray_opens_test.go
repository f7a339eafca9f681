package panel_test

import (
	"slices"
	"strings"
	"testing"

	"cloche/internal/panel"
)

// TestATrayOpensByTheCodesThatTheStudySays: by all of them, or by that of the plate
// furthest to the left, on the guest's phone and on the floor's.
func TestATrayOpensByTheCodesThatTheStudySays(t *testing.T) {
	for _, tc := range []struct {
		name, file string
		codes      int
	}{
		{"all codes", trays, 3},
		{"first code", strings.Replace(trays, "warm-up: canaryA", "tray opens: first code, taste once: true", 1), 1},
	} {
		t.Run(tc.name, func(t *testing.T) {
			n := newNight(t, tc.file)
			token := n.guest("one")
			b := ballot(t, n.svc, token)
			room := of[panel.Room](n)(n.svc.Room(t.Context(), n.floor))
			if once := tc.codes == 1; b.TasteOnce != once || room.TasteOnce != once {
				t.Errorf("the guest reads %v, floor %v; want %v", b.TasteOnce, room.TasteOnce, once)
			}
			guest := of[panel.Held](n)(n.svc.Ahead(t.Context(), token)).Ahead
			floor := of[panel.RoomAhead](n)(n.svc.RoomAhead(t.Context(), n.floor)).Seats[0].Ahead
			stand := n.lastTray()
			for _, sealed := range []panel.Sealed{guest[len(guest)-1], floor[len(floor)-1]} {
				if sealed.Plates != 3 || sealed.Codes != tc.codes {
					t.Fatalf("%d plates and %d codes, want 3 and %d", sealed.Plates, sealed.Codes, tc.codes)
				}
				all := strings.Join(slices.Sorted(slices.Values(stand)), " ")
				for _, code := range append(slices.Clone(stand), all) {
					_, err := openSeal(sealed, code)
					opens := tc.codes == 3 && code == all || tc.codes == 1 && code == stand[0]
					if (err == nil) != opens {
						t.Errorf("the tray %v by %q: %v", stand, code, err)
					}
				}
			}
		})
	}
}

// lastTray are the codes on the last tray of the first place, as they stand.
func (n *night) lastTray() (codes []string) {
	n.t.Helper()
	_, plan, err := n.svc.Preview(n.t.Context(), n.study)
	n.must(err)
	for x := range plan.Turns(0) {
		codes = codes[:0]
		for _, v := range x.Servings {
			codes = append(codes, string(v.Code))
		}
	}
	return codes
}
