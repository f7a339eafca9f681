package room_test

import (
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestStaffByKeyboardAlone: kitchen puts a plate at the pass and takes it back; floor types its
// code, sets it down and takes that back. Both join by keyboard too, and the focus stays on its
// plate while the list comes anew.
func TestStaffByKeyboardAlone(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-guest-at-the-keyboard")
	code := f.Code(id, 0)
	enter := func(r panel.Role) servertest.Keys {
		k := servertest.Keys{T: t, Ctx: servertest.Browser(t, 1280, 800, false)}
		a := f.StaffAccess(id, r)
		servertest.Run(t, k.Ctx, chromedp.Navigate(f.Web.URL+"/staff/"+string(a.Link)))
		k.Reach("#code")
		k.Type(string(a.Code))
		k.Go("main .next")
		return k
	}
	kitchen := enter(panel.RoleKitchen)
	kitchen.Reach(`form[action="/kitchen/pass"] button`)
	f.Began(join, "another-guest-at-the-keyboard")
	servertest.Poll(t, kitchen.Ctx, `document.querySelectorAll('form[action="/kitchen/pass"] button').length === 2`)
	servertest.Poll(t, kitchen.Ctx, `Boolean(document.activeElement.form?.querySelector("[value='`+code+`']"))`)
	kitchen.Type("\r")
	servertest.Poll(t, kitchen.Ctx, `document.querySelector('form[action="/kitchen/pass/taken-back"] button') !== null`)
	servertest.Run(t, kitchen.Ctx, chromedp.Navigate(f.Web.URL+"/kitchen"))
	kitchen.Reach(`form[action="/kitchen/pass/taken-back"] button`)
	kitchen.Type("\r")
	servertest.Poll(t, kitchen.Ctx, `document.querySelector('form[action="/kitchen/pass"] button') !== null`)

	floor := enter(panel.RoleFloor)
	floor.Reach("#plate")
	floor.Type(code)
	floor.Go("#unlock .look")
	floor.Reach(`form[action$="/served"] button`)
	floor.Type("\r")
	servertest.Poll(t, floor.Ctx, `document.querySelector('form[action$="/taken-back"] button') !== null`)
	floor.Reach(`form[action$="/taken-back"] button`)
	floor.Type("\r")
	servertest.Poll(t, floor.Ctx, `document.querySelector('form[action$="/served"] button') !== null`)
}
