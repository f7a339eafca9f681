package server_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

// roomAccess is what one route of kitchen and floor, or of the pages beside them,
// gives to each role while the study is open and after it was closed. A status;
// 303 for a redirect.
type roomAccess struct {
	method, path                         string
	lead, partner, kitchen, floor, other [2]int // open, closed
}

const (
	refused = http.StatusForbidden
	wrong   = http.StatusUnprocessableEntity
)

func both(status int) [2]int { return [2]int{status, status} }

// roomTable has a row for each route that is not in accessTable. {link} is the
// floor's link, {seat} and {serving} a seat with what comes next.
var roomTable = slices.Concat(forEverybody, forDesk, forKitchen, forFloor, forLead)

var forEverybody = []roomAccess{
	{"GET", "/invitation/{link}", both(missing), both(missing), both(missing), both(missing), both(missing)},
	{"POST", "/invitation/{link}", both(missing), both(missing), both(missing), both(missing), both(missing)},
	{"GET", "/staff/{link}", both(ok), both(ok), both(ok), both(ok), both(ok)},
	{"POST", "/staff/{link}", [2]int{refused, conflict}, [2]int{refused, conflict}, [2]int{refused, conflict}, [2]int{refused, conflict}, [2]int{refused, conflict}},
}

var forDesk = []roomAccess{
	{"GET", "/studies/{id}/sittings/1/staff", both(ok), both(refused), both(other), both(other), both(other)},
	{"GET", "/studies/{id}/sittings/1/blind", [2]int{ok, conflict}, both(refused), both(other), both(other), both(other)},
	{"POST", "/studies/{id}/sittings/1/blind", [2]int{wrong, conflict}, both(refused), both(other), both(other), both(other)},
	{"POST", "/studies/{id}/sittings/1/staff", both(missing), both(refused), both(other), both(other), both(other)},
}

// onlyFloor is a row that everybody but floor is refused.
func onlyFloor(method, path string, open, closed int) roomAccess {
	return roomAccess{method, path, both(refused), both(refused), both(refused), [2]int{open, closed}, both(refused)}
}

// forLead comes last: it ends the partner's account.
var forLead = []roomAccess{
	{"GET", "/partner", both(ok), both(refused), both(other), both(other), both(other)},
	{"POST", "/partner/invite", both(ok), both(refused), both(other), both(other), both(other)},
	{"POST", "/partner/end", both(other), both(refused), both(other), both(other), both(other)},
}

// onlyKitchen is a row that everybody but kitchen is refused.
func onlyKitchen(method, path string, open, closed int) roomAccess {
	return roomAccess{method, path, both(refused), both(refused), [2]int{open, closed}, both(refused), both(refused)}
}

var forKitchen = []roomAccess{
	onlyKitchen("GET", "/kitchen", ok, ok),
	onlyKitchen("GET", "/kitchen/events", ok, ok),
	onlyKitchen("GET", "/kitchen/plating", ok, ok),
	onlyKitchen("GET", "/kitchen/photos/{dish}", ok, missing),
	onlyKitchen("GET", "/kitchen/labels", ok, conflict),
	onlyKitchen("POST", "/kitchen/labels", wrong, conflict),
	onlyKitchen("GET", "/kitchen/labels.css", wrong, wrong),
	onlyKitchen("POST", "/kitchen/temperatures", wrong, wrong),
	onlyKitchen("GET", "/kitchen/blind", ok, conflict),
	onlyKitchen("POST", "/kitchen/blind", wrong, conflict),
	onlyKitchen("POST", "/kitchen/leave", other, other),
}

var forFloor = []roomAccess{
	onlyFloor("GET", "/floor", ok, ok),
	onlyFloor("GET", "/floor/events", ok, ok),
	onlyFloor("GET", "/floor/ahead", ok, ok),
	onlyFloor("GET", "/floor/offline", ok, ok),
	onlyFloor("GET", "/floor/guest", ok, conflict),
	onlyFloor("POST", "/floor/guest", bad, bad),
	onlyFloor("GET", "/floor/seats/{seat}", ok, ok),
	onlyFloor("GET", "/floor/seats/{seat}/scores/{serving}", ok, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/scores/{serving}", bad, bad),
	onlyFloor("POST", "/floor/seats/{seat}/place", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/servings/{serving}/served", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/servings/{serving}/taken-back", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/servings/{serving}/dropped", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/servings/{serving}/refused", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/dropped", conflict, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/rinse", conflict, conflict), // none runs
	onlyFloor("POST", "/floor/seats/{seat}/left", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/back", other, conflict),
	onlyFloor("POST", "/floor/leave", other, other),
}

// partner returns a browser in which the partner is signed in.
func (f *fixture) partner() *visitor {
	f.t.Helper()
	const password = "a lamp beside the ledger"
	token, err := f.svc.InvitePartner(f.t.Context(), f.leadSession())
	f.must(err)
	f.must(f.svc.AcceptInvitation(f.t.Context(), token, password))
	v := f.visitor()
	if p := v.post("/sign-in", "as", "partner", "password", password); p.path != "/studies" {
		f.t.Fatalf("the partner's sign-in ended at %s, want /studies", p.path)
	}
	return v
}

func TestEveryRoomRouteEveryRole(t *testing.T) {
	for i, state := range []panel.State{panel.Open, panel.Closed} {
		t.Run(state.String(), func(t *testing.T) {
			f := newFixture(t)
			id, join := f.inState(custard, panel.Open)
			token := f.began(join, "a-guest-at-the-table-1")
			b, err := f.svc.Ballot(t.Context(), token)
			f.must(err)
			people := map[string]*visitor{
				"lead": f.lead(), "partner": f.partner(), "kitchen": f.staff(id, panel.RoleKitchen), "floor": f.staff(id, panel.RoleFloor),
				"stranger": f.visitor(), "assessor": f.visitor(),
			}
			people["assessor"].post("/join/"+join+"/consent", "nonce", "a-guest-who-is-curious")
			seat := strings.TrimPrefix(people["floor"].get("/floor").html().Find(".seat a").First().AttrOr("href", ""), "/floor/seats/")
			link := f.staffAccess(id, panel.RoleFloor).Link
			if state == panel.Closed {
				f.must(f.svc.Close(t.Context(), id))
			}
			for _, a := range roomTable {
				path := strings.NewReplacer("{id}", id, "{link}", link, "{seat}", seat, "{serving}", b.Serving.ID, "{dish}", canaryDish).Replace(a.path)
				want := map[string]int{"lead": a.lead[i], "partner": a.partner[i], "kitchen": a.kitchen[i], "floor": a.floor[i], "stranger": a.other[i], "assessor": a.other[i]}
				for _, who := range []string{"stranger", "assessor", "floor", "kitchen", "partner", "lead"} {
					v := people[who]
					f.clock.pass(2 * time.Minute)
					p := v.first(a.method, path)
					if p.status != want[who] {
						t.Errorf("%s %s: %s gets %d, want %d", a.method, a.path, who, p.status, want[who])
					}
					if who == "lead" || who == "partner" {
						continue
					}
					for _, x := range []string{canaryTitle, canaryHypothesis, canarySampleA, canarySampleB, canaryNameID} {
						if strings.Contains(p.all(), x) {
							t.Errorf("%s %s: %s may read %q", a.method, a.path, who, x)
						}
					}
				}
			}
		})
	}
}
