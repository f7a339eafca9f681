package panel_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// TestPaperSaysWhatPhonesWouldSay prints the ballots of five examples before anybody
// came, seats everybody, and compares each sheet with the guest's own screen.
func TestPaperSaysWhatPhonesWouldSay(t *testing.T) {
	for _, name := range []string{"celeriac-custard", "rested-custard", "browned-butter", "same-or-different",
		"our-custard-or-not"} {
		t.Run(name, func(t *testing.T) {
			file, err := os.ReadFile("../../studies/" + name + ".yaml")
			if err != nil {
				t.Fatal(err)
			}
			n := newNight(t, string(file))
			before := of[panel.PaperBallots](n)(n.svc.PaperBallots(t.Context(), n.floor))
			seat := func(nonce string) {
				token := consent(t, n.svc, n.sitting.Join, nonce)
				n.screen(token, map[string]study.Reply{"s1": study.No, "s2": study.No})
				n.must(n.svc.Start(t.Context(), token))
			}
			seat("one")
			if got := of[panel.PaperBallots](n)(n.svc.PaperBallots(t.Context(), n.floor)); !cmp.Equal(got, before) {
				t.Errorf("after a guest sat down: %s", cmp.Diff(before, got))
			}
			for i := 1; i < len(before.Guests); i++ {
				seat(fmt.Sprint(i))
			}
			stored := of[panel.Study](n)(n.svc.Study(t.Context(), n.study))
			for _, name := range stored.Spec.Names {
				if printed := fmt.Sprint(before.Guests); strings.Contains(printed, name.Text) {
					t.Errorf("%q is printed before its serving goes out", name.Text)
				}
			}
			sheets := map[panel.TurnID]panel.BallotTurn{}
			for _, g := range before.Guests {
				for _, x := range g.Turns {
					sheets[x.ID] = x
				}
			}
			first := 0
			for _, s := range n.room().Seats {
				id := s.Next.ID
				phone, err := n.svc.FloorBallot(t.Context(), n.floor, id, string(sheets[id].Code))
				n.must(err)
				phone.Name, phone.Language = "", "" // floor says it
				for i := range phone.Plates {
					phone.Plates[i].Name = ""
				}
				for i := range phone.Asks {
					phone.Asks[i].Number = sheets[id].Asks[i].Number // floor types numbers
					phone.Asks[i].Language = ""                      // a sheet is in one language
					for k := range phone.Asks[i].Plates {
						phone.Asks[i].Plates[k].Name = ""
					}
				}
				if diff := cmp.Diff(phone, sheets[id]); diff != "" {
					t.Errorf("seat %d: phone and paper differ: %s", s.Label, diff)
				}
				first++
			}
			if first == 0 || first != len(before.Guests) {
				t.Errorf("%d of %d sheets compared", first, len(before.Guests))
			}
		})
	}
}

// What was answered, and the sheets of a guest who left, are not printed again.
func TestPaperLeavesOutWhatIsOver(t *testing.T) {
	n := newNight(t, custard)
	turns := func(label int) int {
		for _, g := range of[panel.PaperBallots](n)(n.svc.PaperBallots(t.Context(), n.floor)).Guests {
			if g.Label == label {
				return len(g.Turns)
			}
		}
		return 0
	}
	token := n.guest("one")
	all := turns(1)
	n.taste(token)
	if got := turns(1); all < 2 || got != all-1 {
		t.Errorf("%d sheets, %d after one was answered", all, got)
	}
	n.must(n.svc.Leave(t.Context(), n.floor, n.seat(1).ID, panel.PhoneAct{}))
	if got := turns(1); got != 0 {
		t.Errorf("%d sheets for a guest who left", got)
	}
}
