package desk_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestLeadHandsTheTablet: the code that the lead is shown for a guest's number opens that guest's ballot on the
// house's tablet, once; a number that nobody has, and one whose answers are deleted, are told.
func TestLeadHandsTheTablet(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-guest-whose-phone-fails")
	gone := f.Began(join, "a-guest-who-deleted-them")
	f.Must(f.Svc.Withdraw(t.Context(), gone))
	lead, tablet := f.Lead(), f.Visitor()
	page := "/studies/" + string(id) + "/tablet"
	if lead.Get("/studies/"+string(id)).HTML().Find("a[href='"+page+"']").Length() != 1 {
		t.Error("the board does not lead to the tablet")
	}
	for number, want := range map[string]string{"": "Nobody", "9": "Nobody", "x": "Nobody", "2": "are deleted"} {
		p := lead.Post(page, "number", number)
		if got := p.HTML().Find("#number-wrong").Text(); p.Status != 422 || !strings.Contains(got, want) {
			t.Errorf("number %q: %d, %q", number, p.Status, got)
		}
	}
	code := lead.Post(page, "number", "1").HTML().Find(".tablet-code").Text()
	own := tablet.Post("/tablet", "code", code)
	if got := own.HTML().Find(".plate .code").Text(); !strings.HasPrefix(own.Path, "/t/") ||
		!strings.Contains(got, f.Code(id, 0)) {
		t.Errorf("the lead's code leads to %s: %q", own.Path, got)
	}
	if p := f.Visitor().Post("/tablet", "code", code); p.Status != 403 {
		t.Errorf("the code opens a second tablet: %d", p.Status)
	}
}
