package room_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

func TestFloorAsksBeforeTheFirstPlate(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Screened, panel.Open)
	v := f.Staff(id, panel.RoleFloor)
	doc := v.Get("/floor/guest").HTML()
	nonce := doc.Find("[name=nonce]").AttrOr("value", "")
	if doc.Find("fieldset legend").Length() != 2 {
		t.Fatalf("floor asks %s", doc.Find("form").Text())
	}
	p := v.Post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes", "s1", "1")
	servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
	if got := p.HTML().Find(".problems a[href='#s2']").Text(); !strings.Contains(got, "Are you hungry?") ||
		p.HTML().Find("[name=s1][value='1'][checked]").Length() != 1 {
		t.Errorf("what was not asked is not said: %q", got)
	}
	if p := v.Post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes", "s1", "1", "s2",
		"1"); !strings.HasPrefix(p.Path, "/floor/seats/") {
		t.Errorf("asked, and not seated: %s", p.Path)
	}
}
