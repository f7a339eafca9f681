package phones_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// A guest without scripts is asked to which group they belong before they get a place.
func TestPhoneAsksForTheGroup(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.Grouped, panel.Open)
	v := f.Visitor()
	p := v.Get("/join/" + string(join))
	servertest.NoCanary(t, "the page before consent", p, servertest.NameA, servertest.NameB)
	doc := p.HTML()
	if got := doc.Find("form[action$=consent] fieldset").Length(); got != 2 {
		t.Fatalf("%d questions, want two: %s", got, doc.Find("main").Text())
	}
	if doc.Find("#group-why").Length() != 1 || doc.Find("input[type=radio][checked]").Length() != 0 {
		t.Error("why it is asked is not said, or an answer is given beforehand")
	}
	nonce := doc.Find("form[action$=consent] [name=nonce]").AttrOr("value", "")
	p = v.Post("/join/"+string(join)+"/consent", "nonce", nonce, "g2", "2")
	servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
	doc = p.HTML()
	if doc.Find(".problems a[href='#g1-1']").Length() != 1 || doc.Find(".problems li").Length() != 1 ||
		doc.Find("#g1-wrong").Length() != 1 || doc.Find("#g2-2[checked]").Length() != 1 {
		t.Errorf("what is missing is not said, or what was typed is gone: %s", doc.Find("main").Text())
	}
	p = v.Post("/join/"+string(join)+"/consent", "nonce", nonce, "g1", "1", "g2", "2")
	if !strings.HasPrefix(p.Path, "/t/") {
		t.Fatalf("not seated: %s %d", p.Path, p.Status)
	}
	servertest.NoCanary(t, "the ballot", p, servertest.NameA, servertest.NameB)
	if got := v.Get(p.Path + "/withdraw").HTML().Find("main").Text(); !strings.Contains(got, "stays on record") {
		t.Errorf("taking out says %q, and not what stays", got)
	}
}
