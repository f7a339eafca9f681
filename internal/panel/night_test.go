package panel_test

import (
	"fmt"
	"runtime/debug"
	"strings"
	"testing"

	"cloche/internal/panel"
)

// What a call reads is garbage when it has answered: to collect it less often takes a tenth
// off the processor time of these tests, and a few megabytes.
func init() { debug.SetGCPercent(400) }

// byLead is the lead's session.
var byLead = panel.Session{Role: panel.RoleLead}

// night is an open study with somebody in each role.
type night struct {
	t              *testing.T
	svc            *panel.Service
	clock          *clock
	study          panel.StudyID
	sitting        panel.Sitting
	lead           panel.Session
	kitchen, floor panel.Session
}

func newNight(t *testing.T, file string) *night {
	t.Helper()
	svc, c := newService(t)
	return nightOf(t, svc, c, file)
}

// nightOf is a night of a service.
func nightOf(t *testing.T, svc *panel.Service, c *clock, file string) *night {
	t.Helper()
	n := &night{t: t, svc: svc, clock: c, lead: panel.Session{Role: panel.RoleLead}}
	stored, problems, err := n.svc.Upload(t.Context(), byLead, "night.yaml", []byte(file))
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	n.study = stored.ID
	n.must(n.svc.Lock(t.Context(), byLead, n.study, 1))
	n.sitting, n.kitchen, n.floor = n.open()
	return n
}

func (n *night) must(err error) {
	n.t.Helper()
	if err != nil {
		n.t.Fatal(err)
	}
}

func (n *night) wantError(doing string, err, want error) {
	n.t.Helper()
	if !isError(err, want) {
		n.t.Errorf("%s: error %v, want %v", doing, err, want)
	}
}

// of unwraps a call that has to succeed.
func of[T any](n *night) func(T, error) T {
	return func(v T, err error) T {
		n.t.Helper()
		n.must(err)
		return v
	}
}

// open opens the next sitting and lets kitchen and floor in.
func (n *night) open() (sitting panel.Sitting, kitchen, floor panel.Session) {
	n.t.Helper()
	sitting = of[panel.Sitting](n)(n.svc.OpenSitting(n.t.Context(), byLead, n.study))
	access := of[[]panel.StaffAccess](n)(n.svc.StaffAccess(n.t.Context(), n.lead, sitting.ID))
	for _, a := range access {
		token, session, err := n.svc.JoinStaff(n.t.Context(), a.Link, a.Code, "pass")
		n.must(err)
		if found := of[panel.Session](n)(n.svc.Session(n.t.Context(), token)); found != session {
			n.t.Errorf("session %+v, want %+v", found, session)
		}
		if a.Role == panel.RoleKitchen {
			kitchen = session
			continue
		}
		floor = session
	}
	return sitting, kitchen, floor
}

// guest seats somebody with a phone who has read the instructions.
func (n *night) guest(nonce string) panel.SeatToken {
	n.t.Helper()
	token := consent(n.t, n.svc, n.sitting.Join, nonce)
	n.must(n.svc.Start(n.t.Context(), token))
	return token
}

func (n *night) room() panel.Room {
	n.t.Helper()
	return of[panel.Room](n)(n.svc.Room(n.t.Context(), n.floor))
}

// seat returns a seat by label.
func (n *night) seat(label int) panel.FloorSeat {
	n.t.Helper()
	for _, s := range n.room().Seats {
		if s.Label == label {
			return s
		}
	}
	n.t.Fatalf("no seat %d", label)
	return panel.FloorSeat{}
}

// submit sends answers for the serving in front of an assessor.
func (n *night) submit(token panel.SeatToken, sub panel.Submission, salt string) panel.Receipt {
	n.t.Helper()
	sub.Given = map[string]string{"a1": salt, "a2": "5"}
	return of[panel.Receipt](n)(n.svc.Submit(n.t.Context(), token, sub))
}

// taste rates the serving that is next.
func (n *night) taste(token panel.SeatToken) {
	n.t.Helper()
	b := ballot(n.t, n.svc, token)
	if b.Stage != panel.StageServing {
		n.t.Fatalf("stage %d, want a serving", b.Stage)
	}
	n.submit(token, panel.Submission{ID: "taste " + string(b.Turn.ID), TurnID: b.Turn.ID}, "50")
}

// log returns the entries of the study's log as lines, "who: what: detail".
func (n *night) log() []string {
	n.t.Helper()
	var lines []string
	for _, e := range of[panel.CheckedLog](n)(n.svc.Log(n.t.Context(), n.lead, n.study)).Entries {
		lines = append(lines, e.Who+": "+e.What+": "+e.Detail)
	}
	return lines
}

func (n *night) wantLogged(line string) {
	n.t.Helper()
	for _, l := range n.log() {
		if l == line {
			return
		}
	}
	n.t.Errorf("the log has no %q:\n%s", line, strings.Join(n.log(), "\n"))
}

// closed closes the study and returns what it gave.
func (n *night) closed() panel.Collected {
	n.t.Helper()
	n.must(n.svc.Close(n.t.Context(), byLead, n.study))
	_, c, err := n.svc.Collected(n.t.Context(), n.study)
	n.must(err)
	return c
}

func salts(ratings []panel.KeyedAnswer) string {
	var all []string
	for _, r := range ratings {
		if r.Attribute == "salt" {
			all = append(all, fmt.Sprintf("%d/%d=%g", r.Place+1, r.Position, r.Value))
		}
	}
	return strings.Join(all, " ")
}
