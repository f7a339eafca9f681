package room_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestDroppedPlateReachesThePhone: the phone of a guest whose plate was dropped asks
// for the new code, with the page and the mark on it as they were; and for the old one
// when the drop is taken back.
func TestDroppedPlateReachesThePhone(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(strings.Replace(servertest.Custard, "seed: 7}", "seed: 7, spare codes: 3}", 1), panel.Open)
	token := f.Began(join, "a-guest-at-the-window")
	floor := f.Staff(id, panel.RoleFloor)
	seat := floor.Get("/floor").HTML().Find(".seat a").AttrOr("href", "")
	phone := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+"/t/"+string(token)))
	old := strings.TrimPrefix(servertest.Text(t, phone, ".plate .code"), "code ")
	servertest.Eval[bool](t, phone, `window.same = true`)
	servertest.TypeIn(t, phone, "#a1", "42")
	floor.Post(servertest.ActionEnding(floor.Get(seat), "/dropped"))
	b, err := f.Svc.Ballot(t.Context(), token)
	f.Must(err)
	if string(b.Turn.Code) == old {
		t.Fatal("the plate has its old code")
	}
	servertest.Says(t, phone, ".plate .code", string(b.Turn.Code))
	servertest.Says(t, phone, ".plate .check", string(b.Turn.Code))
	servertest.Says(t, phone, "#outbox", "The plate was replaced")
	if got := servertest.Eval[string](t, phone,
		`String(window.same) + document.querySelector("#a1").value`); got != "true42" {
		t.Errorf("the page was loaded anew, or the mark is gone: %s", got)
	}
	floor.Post(servertest.ActionEnding(floor.Get(seat), "/not-dropped"))
	servertest.Says(t, phone, ".plate .code", old)
	floor.Post(servertest.ActionEnding(floor.Get(seat), "/refused"))
	servertest.Poll(t, phone, `document.querySelector(".plate h1")?.textContent.startsWith("Serving 2") === true`)
	floor.Post(servertest.ActionEnding(floor.Get(seat), "/wanted"))
	servertest.Poll(t, phone, `document.querySelector(".plate h1")?.textContent.startsWith("Serving 1") === true`)
	servertest.Says(t, phone, ".plate .code", old)
}
