package server_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
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
	{"GET", "/take-over/{link}", both(ok), both(ok), both(ok), both(ok), both(ok)},
	{"POST", "/take-over/{link}", both(conflict), both(conflict), both(conflict), both(conflict), both(conflict)},
	{"GET", "/tablet", both(ok), both(ok), both(ok), both(ok), both(ok)},
	{"POST", "/tablet", both(conflict), both(conflict), both(conflict), both(conflict), both(refused)},
	{"GET", "/staff/{link}", both(ok), both(ok), both(ok), both(ok), both(ok)},
	{"POST", "/staff/{link}", [2]int{refused, conflict}, [2]int{refused, conflict}, [2]int{refused, conflict},
		[2]int{refused, conflict}, [2]int{refused, conflict}},
}

var forDesk = []roomAccess{
	{"GET", "/studies/{id}/sittings/1/staff", both(ok), both(refused), both(other), both(other), both(other)},
	{"GET", "/studies/{id}/sittings/1/staff/floor", both(ok), both(refused), both(other), both(other), both(other)},
	{"GET", "/studies/{id}/sittings/1/blind", [2]int{ok, conflict}, both(refused), both(other), both(other),
		both(other)},
	{"POST", "/studies/{id}/sittings/1/blind", [2]int{wrong, conflict}, both(refused), both(other), both(other),
		both(other)},
	{"POST", "/studies/{id}/sittings/1/release", [2]int{bad, conflict}, both(refused), both(other), both(other),
		both(other)},
	{"POST", "/studies/{id}/sittings/1/word", both(other), both(refused), both(other), both(other), both(other)},
	{"POST", "/studies/{id}/sittings/1/staff", both(missing), both(refused), both(other), both(other), both(other)},
}

// onlyFloor is a row that everybody but floor is refused.
func onlyFloor(method, path string, open, closed int) roomAccess {
	return roomAccess{method, path, both(refused), both(refused), both(refused), [2]int{open, closed}, both(refused)}
}

// forLead is for lead and owner.
var forLead = []roomAccess{
	{"GET", "/people", both(ok), both(refused), both(other), both(other), both(other)},
	{"POST", "/people", both(wrong), both(refused), both(other), both(other), both(other)},
	{"POST", "/people/none/invite", both(missing), both(refused), both(other), both(other), both(other)},
	{"POST", "/people/none/role", both(missing), both(refused), both(other), both(other), both(other)},
	{"POST", "/people/none/out", both(missing), both(refused), both(other), both(other), both(other)},
	{"POST", "/people/none/end", both(missing), both(refused), both(other), both(other), both(other)},
	{"POST", "/people/none/name", both(wrong), both(refused), both(other), both(other), both(other)},
	{"GET", "/people/none/owner", both(missing), both(refused), both(other), both(other), both(other)},
	{"POST", "/people/none/owner", both(missing), both(refused), both(other), both(other), both(other)},
	{"GET", "/studies/{id}/people", both(ok), both(refused), both(other), both(other), both(other)},
	{"POST", "/studies/{id}/people", both(missing), both(refused), both(other), both(other), both(other)},
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
	onlyKitchen("POST", "/kitchen/release", wrong, conflict),
	onlyKitchen("GET", "/kitchen/blind", ok, conflict),
	onlyKitchen("POST", "/kitchen/blind", wrong, conflict),
	onlyKitchen("POST", "/kitchen/blind/none/agree", missing, conflict),
	onlyKitchen("POST", "/kitchen/pass", missing, conflict),
	onlyKitchen("POST", "/kitchen/pass/taken-back", missing, conflict),
	onlyKitchen("POST", "/kitchen/leave", other, other),
}

var forFloor = []roomAccess{
	onlyFloor("GET", "/floor", ok, ok),
	onlyFloor("GET", "/floor/hand-over", ok, conflict),
	onlyFloor("GET", "/floor/events", ok, ok),
	onlyFloor("GET", "/floor/plate", ok, conflict),
	onlyFloor("GET", "/floor/ahead", ok, ok),
	onlyFloor("GET", "/floor/offline", ok, ok),
	onlyFloor("GET", "/floor/guest", ok, conflict),
	onlyFloor("GET", "/floor/ballots", ok, conflict),
	onlyFloor("POST", "/floor/guest", bad, bad),
	onlyFloor("GET", "/floor/blind", ok, conflict),
	onlyFloor("POST", "/floor/blind", wrong, conflict),
	onlyFloor("GET", "/floor/blind/none", missing, conflict),
	onlyFloor("POST", "/floor/blind/none", missing, conflict),
	onlyFloor("POST", "/floor/blind/none/agree", missing, conflict),
	onlyFloor("GET", "/floor/seats/{seat}", ok, ok),
	onlyFloor("GET", "/floor/seats/{seat}/tablet", ok, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/tablet/back", other, conflict), // it is on none
	onlyFloor("GET", "/floor/seats/{seat}/last", missing, conflict),       // nothing is asked
	onlyFloor("POST", "/floor/seats/{seat}/last", conflict, conflict),
	onlyFloor("GET", "/floor/seats/{seat}/scores/{turn}", ok, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/scores/{turn}", bad, bad),
	onlyFloor("POST", "/floor/seats/{seat}/place", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/table", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/turns/{turn}/served", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/turns/{turn}/taken-back", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/servings/{serving}/dropped", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/turns/{turn}/refused", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/turns/{turn}/wanted", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/servings/{serving}/not-dropped", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/turns/{turn}/incidents/spilt", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/turns/{turn}/incidents/spilt/taken-back", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/dropped", conflict, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/rinse", conflict, conflict), // none runs
	onlyFloor("POST", "/floor/seats/{seat}/left", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/back", other, conflict),
	onlyFloor("POST", "/floor/seats/{seat}/free", other, conflict), // the last of this seat
	onlyFloor("POST", "/floor/unused", other, conflict),
	onlyFloor("POST", "/floor/leave", other, other),
}

func TestEveryRoomRouteEveryRole(t *testing.T) {
	for i, state := range []panel.State{panel.Open, panel.Closed} {
		t.Run(state.String(), func(t *testing.T) {
			f := servertest.New(t)
			id, join := f.InState(servertest.Custard, panel.Open)
			token := f.Began(join, "a-guest-at-the-table-1")
			b, err := f.Svc.Ballot(t.Context(), token)
			f.Must(err)
			people := map[string]*servertest.Visitor{
				"lead": f.Lead(), "partner": f.Partner(), "kitchen": f.Staff(id, panel.RoleKitchen),
				"floor":    f.Staff(id, panel.RoleFloor),
				"stranger": f.Visitor(), "assessor": f.Visitor(),
			}
			people["assessor"].Post("/join/"+string(join)+"/consent", "nonce", "a-guest-who-is-curious")
			seat := strings.TrimPrefix(people["floor"].Get("/floor").HTML().Find(".seat a").First().AttrOr("href", ""),
				"/floor/seats/")
			link, plate := f.StaffAccess(id, panel.RoleFloor).Link, people["floor"].PlateAt(seat)
			if state == panel.Closed {
				f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
			}
			for _, a := range roomTable {
				path := strings.NewReplacer("{id}", string(id), "{link}", string(link), "{seat}", seat, "{turn}",
					string(b.Turn.ID),
					"{serving}", plate, "{dish}", servertest.CanaryDish).Replace(a.path)
				want := map[string]int{"lead": a.lead[i], "partner": a.partner[i], "kitchen": a.kitchen[i],
					"floor": a.floor[i], "stranger": a.other[i], "assessor": a.other[i]}
				for _, who := range []string{"stranger", "assessor", "floor", "kitchen", "partner", "lead"} {
					v := people[who]
					f.Clock.Pass(2 * time.Minute)
					p := v.First(a.method, path)
					if p.Status != want[who] {
						t.Errorf("%s %s: %s gets %d, want %d", a.method, a.path, who, p.Status, want[who])
					}
					if who == "lead" || who == "partner" {
						continue
					}
					for _, x := range []string{servertest.CanaryTitle, servertest.CanaryHypothesis,
						servertest.CanarySampleA, servertest.CanarySampleB, servertest.CanaryNameID} {
						if strings.Contains(p.All(), x) {
							t.Errorf("%s %s: %s may read %q", a.method, a.path, who, x)
						}
					}
				}
			}
		})
	}
}
