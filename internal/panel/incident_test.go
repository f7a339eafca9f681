package panel_test

import (
	"slices"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/panel"
)

// TestIncidentsReachTheReport: what floor notes of a plate, before its answers or after, is
// logged, shown on the seat until it is taken back, told apart in the analysis, and given to
// the partner; the answers count.
func TestIncidentsReachTheReport(t *testing.T) {
	n, ctx := newNight(t, custard), t.Context()
	token := n.guest("a")
	turn := ballot(t, n.svc, token).Turn
	note := func(what panel.Incident, id string) {
		t.Helper()
		n.must(n.svc.NoteIncident(ctx, n.floor, turn.ID, what, panel.PhoneAct{ID: id}))
	}
	note(panel.Spilt, "1")
	n.wantError("sent again", n.svc.NoteIncident(ctx, n.floor, turn.ID, panel.Spilt, panel.PhoneAct{ID: "1"}),
		panel.ErrRepeated)
	note(panel.TastedEarly, "2")
	n.must(n.svc.TakeBackIncident(ctx, n.floor, turn.ID, panel.TastedEarly, panel.PhoneAct{ID: "3"}))
	if got := n.seat(1).Next.Incidents; !slices.Equal(got, []panel.Incident{panel.Spilt}) {
		t.Errorf("the seat shows %v", got)
	}
	n.taste(token)
	note(panel.Unwell, "4") // of what was rated last
	note(panel.Talked, "5")
	note(panel.AteAnother, "6")
	if got := n.seat(1).Rated; got.Code != turn.Code || len(got.Incidents) != 4 {
		t.Errorf("what was rated last: %+v", got)
	}
	n.wantError("what there is not", n.svc.NoteIncident(ctx, n.floor, turn.ID, "sulked", panel.PhoneAct{}),
		panel.ErrBadValue)
	n.wantLogged("floor 1: incident: assessor 1, serving 1, code " + string(turn.Code) + ": part of it was spilt")
	n.wantLogged("floor 1: incident taken back: assessor 1, serving 1, code " + string(turn.Code) +
		": tasted too early")
	live := of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study))
	if got := live.Sittings[0].Incidents; got != 4 {
		t.Errorf("the board counts %d incidents, want 4", got)
	}
	c := n.closed()
	if len(c.Incidents) != 4 || c.Incidents[0].TurnID != turn.ID || c.Incidents[0].Who != "floor 1" {
		t.Errorf("the package has %+v", c.Incidents)
	}
	_, found, err := n.svc.Findings(ctx, n.study)
	n.must(err)
	var told []string
	for _, w := range found.Warnings {
		if strings.Contains(w.Text, "The answers count like all others") {
			told = append(told, w.Code)
		}
	}
	for _, code := range []string{analysis.WarnSpilt, analysis.WarnUnwell, analysis.WarnTalked,
		analysis.WarnWrongPlate} {
		if !slices.Contains(told, code) {
			t.Errorf("the report does not tell %s: %v", code, told)
		}
	}
	if slices.Contains(told, analysis.WarnTastedEarly) || found.Assessors != 1 {
		t.Errorf("told %v of %d assessors", told, found.Assessors)
	}
}
