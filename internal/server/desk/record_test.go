package desk_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestAnotherHouseJoinsTheRecord: its package, made by its own service, stands beside the
// house's own study and counts with it, once, until it is taken out.
func TestAnotherHouseJoinsTheRecord(t *testing.T) {
	there, here := servertest.New(t), servertest.New(t)
	theirs, _ := there.InState(servertest.Custard, panel.Closed)
	file := there.Lead().Get("/studies/" + string(theirs) + "/data.zip").Body
	own, _ := here.InState(servertest.Custard, panel.Closed)
	lead := here.Lead()
	join := func(house, file string) servertest.Page {
		return lead.Send("/studies/record/join", "package.zip", file, "house", house)
	}
	refused := func(p servertest.Page, field, want string) {
		t.Helper()
		if got := p.HTML().Find("#" + field + "-wrong").Text(); p.Status != http.StatusUnprocessableEntity ||
			!strings.Contains(got, want) {
			t.Errorf("status %d, %q at %s, want %q", p.Status, got, field, want)
		}
	}
	refused(join("", file), "house", "Write its name")
	refused(join("The mill", "no package"), "file", "no data package")
	refused(join("The mill", here.Lead().Get("/studies/"+string(own)+"/data.zip").Body), "file", "your own service")
	if got := lead.Get("/studies/record").HTML().Find(".evenings li").Length(); got != 1 {
		t.Errorf("%d entries before anybody joined", got)
	}
	p := join("The mill, Sluice Lane", file)
	text := p.HTML().Find("main").Text()
	if p.Status != http.StatusOK || !strings.Contains(text, "The mill, Sluice Lane, another house") ||
		!strings.Contains(text, "In 2 studies with 6 guests") || !strings.Contains(text, "stands in the record") {
		t.Errorf("status %d, the record says %s", p.Status, text)
	}
	refused(join("The mill", file), "file", "already")
	partner := here.Partner().Get("/studies/record").HTML()
	if partner.Find("form[action$=join], form[action$=leave]").Length() != 0 || partner.Find(".evenings "+
		".soft").Length() < 2 {
		t.Error("the partner may change the record, or not read it")
	}
	out := p.HTML().Find("form[action$=leave] button").First().AttrOr("value", "")
	if p := lead.Post("/studies/record/leave", "study", out); strings.Contains(p.Body, "The mill") {
		t.Error("it is in the record still")
	}
	if got := lead.Get("/log").Body; !strings.Contains(got, "joined the record") || !strings.Contains(got, "left "+
		"the record") {
		t.Error("the log does not tell who joined and left")
	}
}

// TestADeletedStudysVerdictStays: once no guest may take answers out the page offers to keep what was found,
// and keeps what was ticked through a refusal; the record shows it and no answer, until the lead takes it out.
func TestADeletedStudysVerdictStays(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Closed)
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	lead := f.Lead()
	page := "/studies/" + string(id) + "/delete"
	lead.Get("/studies/" + string(id) + "/data.zip")
	if p := lead.Get(page).HTML(); p.Find("input[name=keep]").Length() != 0 ||
		!strings.Contains(p.Find("main").Text(), "nothing can stay in the record yet") {
		t.Errorf("while guests may take answers out the page says %s", p.Find("main").Text())
	}
	if p := lead.Post(page, "confirm", "yes", "keep", "yes"); p.Status != http.StatusConflict {
		t.Errorf("kept too early: status %d", p.Status)
	}
	f.Clock.Pass(time.Duration(stored.Spec.Panel.WithdrawalDays) * 25 * time.Hour)
	lead = f.Lead()
	if p := lead.Get(page).HTML(); p.Find("input[name=keep][checked]").Length() != 1 {
		t.Error("the page does not offer to keep what was found")
	}
	if p := lead.Post(page).HTML(); p.Find("input[name=keep]:not([checked])").Length() != 1 {
		t.Error("refused, the page ticks again what was not ticked")
	}
	if p := lead.Post(page, "keep", "yes").HTML(); p.Find("input[name=keep][checked]").Length() != 1 {
		t.Error("refused, the page forgets what was ticked")
	}
	lead.Post(page, "confirm", "yes", "keep", "yes")
	if p := lead.Get("/studies/" + string(id)); p.Status != http.StatusNotFound {
		t.Errorf("status %d of the study", p.Status)
	}
	p := lead.Get("/studies/record").HTML()
	text := p.Find("main").Text()
	for _, want := range []string{"Studies that are deleted", "3 guests", "deleted here", stored.Spec.Title} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the record: %s", want, text)
		}
	}
	if p.Find("a[href='/studies/"+string(id)+"']").Length() != 0 {
		t.Error("the record leads to a study that is gone")
	}
	out := p.Find("#deleted button").AttrOr("value", "")
	if p := lead.Post("/studies/record/leave", "study", out).HTML(); p.Find("#deleted, .evenings li").Length() != 0 {
		t.Error("it is in the record still")
	}
}
