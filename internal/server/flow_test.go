package server_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestReportShowsTheFlowOfPeople: who said no, left early and took the answers out stands
// in the report and in the table of the package, by what happened in the room.
func TestReportShowsTheFlowOfPeople(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	for i, salt := range []string{"20", "30"} {
		f.Tasted(join, "nonce-of-a-guest-"+salt, salt, []string{"70", "60"}[i])
	}
	f.Began(join, "nonce-of-one-who-stays-on")
	gone := f.Began(join, "nonce-of-one-who-withdraws")
	f.Must(f.Svc.Withdraw(t.Context(), gone))
	f.Must(f.Svc.Decline(t.Context(), join, "nonce-of-one-who-says-no"))
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	doc := f.Lead().Get("/studies/" + string(id)).HTML()
	got := strings.Join(strings.Fields(doc.Find(".report-flow").Text()), " ")
	for _, want := range []string{"1 said no when asked to agree", "4 took a place", "2 finished",
		"1 had not finished when the study was closed", "1 took their answers out", "2 gave an answer that is kept",
		"2 are in the findings"} {
		if !strings.Contains(got, want) {
			t.Errorf("the flow lacks %q: %s", want, got)
		}
	}
	if table := f.InPackage(id, "flow.csv"); !strings.Contains(table, "2,false,4,took a place") {
		t.Errorf("the table of the flow:\n%s", table)
	}
}
