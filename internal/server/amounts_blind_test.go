package server_test

import (
	"os"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// amountsOf are the amounts of an example, as its file has them, and the odd ones that stand
// in for them: as numbers that no page has by chance.
var amountsOf = map[string][][2]string{
	"salt-by-the-gram": {{"amount: 6", "6.0717"}, {"amount: 7", "7.0717"}, {"amount: 8", "8.0717"},
		{"amount: 9", "9.0717"}, {"amount: 10", "10.0717"}},
	"little-smoke": {{"amount: 0.2", "0.20717"}, {"amount: 0.4", "0.40717"}, {"amount: 0.8", "0.80717"},
		{"amount: 1.6", "1.60717"}, {"amount: 3.2", "3.20717"}},
}

// TestAmountsAreSeenByTheKitchenAlone walks a guest, the floor and the television through an
// evening of amounts and reads every byte that each is given: none of an amount, nor of what
// is counted, which the kitchen's page shows. So it is after the close.
func TestAmountsAreSeenByTheKitchenAlone(t *testing.T) {
	for file, amounts := range amountsOf {
		t.Run(file, func(t *testing.T) {
			text, err := os.ReadFile("../../studies/" + file + ".yaml")
			if err != nil {
				t.Fatal(err)
			}
			var words []string
			odd := strings.Replace(string(text), "amounts in: g of", "amounts in: canaryunits of", 1)
			for _, x := range amounts {
				odd = strings.Replace(odd, x[0]+"\n", "amount: "+x[1]+"\n", 1)
				words = append(words, x[1])
			}
			words = append(words, "canaryunits")
			f := servertest.New(t)
			id, join := f.InState(odd, panel.Open)
			guest := &servertest.Watched{Visitor: f.Visitor()}
			floor := &servertest.Watched{Visitor: f.Staff(id, panel.RoleFloor)}
			kitchen := f.Staff(id, panel.RoleKitchen)
			page := kitchen.Get("/kitchen").All()
			for _, w := range words {
				if !strings.Contains(page, w) {
					t.Errorf("the kitchen's page has no %q", w)
				}
			}
			f.Began(join, "a-guest-whom-floor-serves-1")
			walkFloor(f, floor, string(id))
			if turns := answerAllOn(f, guest, join, "a-guest-of-an-evening-2"); turns < 2 {
				t.Fatalf("%d turns were answered", turns)
			}
			last := guest.Seen.String()
			walkFloor(f, floor, string(id))
			guest.Reads(words...)
			floor.Reads(words...)
			if len(last) < 2000 || floor.Seen.Len() < 2000 {
				t.Fatalf("read %d bytes of the guest and %d of the floor", len(last), floor.Seen.Len())
			}

			f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
			floor.Seen.Reset()
			guest.Seen.Reset()
			walkFloor(f, floor, string(id))
			guest.Get("/join/" + string(join))
			floor.Reads(words...)
			guest.Reads(words...)
		})
	}
}

// walkFloor fetches what floor and its television can: the room, every seat, what phones hold
// ahead, and what is not theirs.
func walkFloor(f *servertest.Fixture, floor *servertest.Watched, id string) {
	seats := floor.Get("/floor").HTML().Find(".seat a")
	paths := []string{"/floor", "/floor/offline", "/floor/ahead", "/kitchen", "/studies/" + id + "/plan.csv",
		"/studies/" + id + "/kitchen.csv"}
	for i := range seats.Length() {
		paths = append(paths, seats.Eq(i).AttrOr("href", ""))
	}
	television := f.Lead().Get("/studies/" + id + "/screen").Path
	for _, path := range append(paths, television, television+"/board", television+"/events") {
		floor.Get(path)
	}
}
