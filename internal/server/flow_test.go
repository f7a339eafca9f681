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
	f.Must(f.Svc.Decline(t.Context(), join, "nonce-of-one-who-says-no", ""))
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	doc := f.Lead().Get("/studies/" + string(id)).HTML()
	got := strings.Join(strings.Fields(doc.Find(".report-flow").Text()), " ")
	for _, want := range []string{"1 said no when asked to agree", "4 took a place", "2 finished",
		"1 had not finished when the study was closed", "1 deleted their answers", "2 gave an answer that is kept",
		"2 are in the findings"} {
		if !strings.Contains(got, want) {
			t.Errorf("the flow lacks %q: %s", want, got)
		}
	}
	if table := f.InPackage(id, "flow.csv"); !strings.Contains(table, "2,false,4,took a place") {
		t.Errorf("the table of the flow:\n%s", table)
	}
}

// TestMethodsTextSaysWhatWasDone: the paragraph for a paper has the numbers of the room and
// of the lock, in the report and in the package.
func TestMethodsTextSaysWhatWasDone(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	for i, salt := range []string{"20", "30"} {
		f.Tasted(join, "nonce-of-a-guest-"+salt, salt, []string{"70", "60"}[i])
	}
	f.Began(join, "nonce-of-one-who-stays-on")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	text := f.InPackage(id, "methods.txt")
	for _, want := range []string{"All were one and the same dish", "Each assessor was served both samples, one " +
		"after the other",
		"3 people took a place, of whom 2 finished, 1 had not finished at the close; the analysis has answers of 2.",
		"SHA-256 of the study " + stored.Lock.StudyHash, "was the paired t test on “", "at a level of 0.05."} {
		if !strings.Contains(text, want) {
			t.Errorf("the paragraph lacks %q:\n%s", want, text)
		}
	}
	page := f.Lead().Get("/studies/" + string(id)).HTML().Find(".report-technical").Text()
	if !strings.Contains(page, strings.TrimSpace(text)) {
		t.Errorf("the report has another paragraph than the package:\n%s", text)
	}
}
