package server_test

import (
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/words"
)

// TestGuestAndLeadTakeAnswersOutAfterClose: the phone states until when, the lead
// can do it by the number on the phone, and the report says that it has changed.
func TestGuestAndLeadTakeAnswersOutAfterClose(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	guest := f.Begun(join)
	for i, salt := range []string{"20", "30"} {
		f.Tasted(join, "nonce-of-a-guest-"+salt, salt, []string{"70", "60"}[i])
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	phone, lead := f.Visitor(), f.Lead()
	said := phone.Get(guest).HTML().Find("main").Text()
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	moment := words.In("en").Moment(stored.ClosedAt.AddDate(0, 0, 7).Local())
	for _, want := range []string{"You can delete your answers until " + moment, "You are guest 1"} {
		if !strings.Contains(said, want) {
			t.Errorf("the phone does not say %q: %s", want, said)
		}
	}
	report := "/studies/" + string(id)
	if got := lead.Get(report).HTML().Find("main").Text(); strings.Contains(got, "version 2 of the findings") ||
		!strings.Contains(got, "Until 27 November 2026") {
		t.Errorf("the first report: %s", got)
	}
	f.Clock.Pass(time.Hour)
	if p := lead.Post(report+"/take-out", "number", "9"); p.Status != 422 ||
		!strings.Contains(p.Body, "Nobody has this number") {
		t.Errorf("number 9: status %d", p.Status)
	}
	if p := lead.Post(report+"/take-out", "number", "2"); !strings.Contains(p.HTML().Find(".done").Text(),
		"guest 2 are deleted") {
		t.Errorf("number 2: %s", p.Body)
	}
	if got := lead.Get(report).HTML().Find("main").Text(); !strings.Contains(got,
		"his is version 2 of the findings: one assessor deleted their answers") {
		t.Errorf("the second report: %s", got)
	}
	if got := lead.Get(report + "/findings.json").Body; !strings.Contains(got, `"findings_version": 2`) {
		t.Errorf("findings.json: %s", got)
	}
	phone.Post(guest+"/withdraw", "a", "b")
	if got := phone.Get(guest).HTML().Find("h1").Text(); got != "Your answers are deleted" {
		t.Errorf("the guest's phone says %q", got)
	}
	f.Clock.Pass(7 * 24 * time.Hour)
	if p := f.Lead().Get(report + "/take-out"); !strings.Contains(p.Body, "That time is over") ||
		p.HTML().Find("main form").Length() != 0 {
		t.Errorf("once it is over: %s", p.Body)
	}
}
