package server_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestStaffNeverReadWhatIsHidden takes kitchen and floor through all that they
// can fetch and do, errors and refusals included, and reads every byte. Floor may
// know no dish and no later name; kitchen no name; neither a sample's id, the
// question or an answer.
func TestStaffNeverReadWhatIsHidden(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	token := f.Began(join, "a-guest-to-be-served-1")
	b, err := f.Svc.Ballot(t.Context(), token)
	f.Must(err)
	later := map[string]string{servertest.NameA: servertest.NameB, servertest.NameB: servertest.NameA}[b.Turn.Name]
	floor := &servertest.Watched{Visitor: f.Staff(id, panel.RoleFloor)}
	kitchen := &servertest.Watched{Visitor: f.Staff(id, panel.RoleKitchen)}
	p := floor.Get("/floor")
	seat := strings.TrimPrefix(p.HTML().Find(".seat a").AttrOr("href", ""), "/floor/seats/")
	fillIn := strings.NewReplacer("{id}", string(id), "{link}", string(f.StaffAccess(id, panel.RoleFloor).Link),
		"{seat}", seat,
		"{turn}", string(b.Turn.ID), "{serving}", floor.PlateAt(seat))
	tablet := &servertest.Watched{Visitor: f.Visitor()} // what stands there before and after a guest had it
	shown := floor.Get("/floor/seats/" + seat + "/tablet").HTML().Find(".tablet-code").Text()
	own := tablet.Post("/tablet", "code", shown).Path
	if !strings.HasPrefix(own, "/t/") {
		t.Fatalf("the code leads to %s", own)
	}
	tablet.Reads(append(servertest.Canaries, later)...)
	tablet.Post(own + "/give-back")
	tablet.Seen.Reset()
	for _, path := range []string{own, own + "/withdraw", own + "/change", own + "/ahead", own + "/offline",
		own + "/events", "/tablet", "/floor", "/kitchen"} {
		tablet.Get(path)
	}
	tablet.Reads(append(servertest.Canaries, servertest.NameA, servertest.NameB, string(b.Turn.Code))...)
	television := f.Lead().Get("/studies/" + string(id) + "/screen").Path
	everything := func() {
		for _, w := range []*servertest.Watched{floor, kitchen} { // it hangs where they work
			for _, path := range []string{television, television + "/board", television + "/events"} {
				w.Get(path)
			}
		}
		for _, a := range roomTable {
			for _, w := range []*servertest.Watched{floor, kitchen} {
				switch path := fillIn.Replace(a.path); {
				// would change what comes next
				case strings.HasSuffix(a.path, "/leave"), strings.HasSuffix(a.path, "/refused"):
				case a.method == "GET":
					w.Get(path)
				case strings.HasPrefix(a.path, "/floor"):
					w.Post(path, "a1", "no number")
				default:
					w.Post(path, "code", "000", "why", "a test", "a1", "no number")
				}
			}
		}
		for _, a := range accessTable {
			if a.method == "GET" && strings.HasPrefix(a.path, "/studies") {
				floor.Get(fill(a.path, id, join, token))
				kitchen.Get(fill(a.path, id, join, token))
			}
		}
	}
	everything()
	kitchen.Post("/kitchen/blind", "code", string(b.Turn.Code), "why", "A guest feels unwell")
	floor.Reads(append(servertest.Canaries, later)...)
	kitchen.Reads(servertest.CanaryTitle, servertest.CanaryHypothesis, servertest.CanarySampleA,
		servertest.CanarySampleB, servertest.CanaryNameID, servertest.NameA, servertest.NameB)

	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	floor.Seen.Reset()
	kitchen.Seen.Reset()
	everything()
	floor.Reads(append(servertest.Canaries, servertest.NameA, servertest.NameB)...)
	kitchen.Reads(append(servertest.Canaries, servertest.NameA, servertest.NameB)...)
}
