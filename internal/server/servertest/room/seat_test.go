package room_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestSeatKeepsItselfFresh: the page of a seat shows what another phone did, and
// leaves what is being typed alone.
func TestSeatKeepsItselfFresh(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(strings.Replace(servertest.Custard, "seed: 7}", "seed: 7, spare codes: 3}", 1), panel.Open)
	f.Began(join, "a-guest-with-a-phone-1")
	v := f.Staff(id, panel.RoleFloor)
	seat := f.FloorLinks(v)[0][0]
	phone := servertest.Browser(t, 360, 740, false)
	f.JoinInBrowser(phone, f.Room(), id, panel.RoleFloor)
	servertest.Run(t, phone, chromedp.Navigate(f.Room()+seat))
	servertest.TypeIn(t, phone, "#place", "the win")
	p := v.Get(seat)
	v.Post(servertest.ActionEnding(p, "/dropped"))
	fresh := strings.TrimPrefix(v.Get(seat).HTML().Find(".plate .code").Text(), "code ")
	servertest.Says(t, phone, ".plate .code", fresh)
	if got := servertest.Eval[string](t, phone, `document.querySelector("#place").value`); got != "the win" {
		t.Errorf("what was being typed is %q", got)
	}
}
