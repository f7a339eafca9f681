package server_test

import (
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/words"
)

// TestFormAfterCloseSaysWhatBecameOfIt: without scripts the page that follows says it.
func TestFormAfterCloseSaysWhatBecameOfIt(t *testing.T) {
	f := servertest.New(t)
	id, v, p := f.Seated(servertest.Custard)
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	after := v.Post(p.Action(), "id", "a-form-that-was-open", "a1", "20", "a2", "3")
	if !strings.Contains(after.HTML().Find("main").Text(), servertest.CameAfterClose) {
		t.Errorf("after close: %s", after.HTML().Find("main").Text())
	}
}

// TestClosePageSaysWhoIsStillOut reads the board and the page that asks before closing.
func TestClosePageSaysWhoIsStillOut(t *testing.T) {
	f := servertest.New(t)
	id, v, p := f.Seated(servertest.Custard)
	lead := f.Lead()
	reads := func(path string, want, not string) {
		t.Helper()
		got := strings.Join(strings.Fields(lead.Get(path).HTML().Find("main").Text()), " ")
		if !strings.Contains(got, want) || not != "" && strings.Contains(got, not) {
			t.Errorf("%s: want %q and not %q in\n%s", path, want, not, got)
		}
	}
	study := "/studies/" + string(id)
	reads(study+"/close", "One phone has not finished.", "not been heard from")
	f.Clock.Pass(panel.SilentAfter + time.Second)
	reads(study+"/close", "One phone has not finished, and not been heard from for ten minutes or more.",
		"One phone has not finished.")
	reads(study, "1 phone not heard from for ten minutes or more", "")
	v.Get(p.Path)
	reads(study+"/close", "One phone has not finished.", "not been heard from")
}

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
	for _, want := range []string{"You can take your answers out until " + moment, "Your seat number: 1"} {
		if !strings.Contains(said, want) {
			t.Errorf("the phone does not say %q: %s", want, said)
		}
	}
	report := "/studies/" + string(id)
	if got := lead.Get(report).HTML().Find("main").Text(); strings.Contains(got, "version 2 of the findings") ||
		!strings.Contains(got, "Until 27 Nov 2026") {
		t.Errorf("the first report: %s", got)
	}
	f.Clock.Pass(time.Hour)
	if p := lead.Post(report+"/take-out", "number", "9"); p.Status != 422 ||
		!strings.Contains(p.Body, "Nobody has this number") {
		t.Errorf("number 9: status %d", p.Status)
	}
	if p := lead.Post(report+"/take-out", "number", "2"); !strings.Contains(p.HTML().Find(".done").Text(),
		"seat number 2 are deleted") {
		t.Errorf("number 2: %s", p.Body)
	}
	if got := lead.Get(report).HTML().Find("main").Text(); !strings.Contains(got,
		"his is version 2 of the findings: one assessor took their answers out") {
		t.Errorf("the second report: %s", got)
	}
	if got := lead.Get(report + "/findings.json").Body; !strings.Contains(got, `"findings_version": 2`) {
		t.Errorf("findings.json: %s", got)
	}
	phone.Post(guest+"/withdraw", "a", "b")
	if got := phone.Get(guest).HTML().Find("h1").Text(); got != "Your answers are out" {
		t.Errorf("the guest's phone says %q", got)
	}
	f.Clock.Pass(7 * 24 * time.Hour)
	if p := f.Lead().Get(report + "/take-out"); !strings.Contains(p.Body, "That time is over") ||
		p.HTML().Find("main form").Length() != 0 {
		t.Errorf("once it is over: %s", p.Body)
	}
}
