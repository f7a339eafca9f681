package forms_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestNamesLookSound looks at the screens of names, the longest that are usual.
func TestNamesLookSound(t *testing.T) {
	script := servertest.Axe(t)
	f := servertest.New(t)
	long := strings.Repeat("celeriac royale long told ", 7)
	id, join := f.InState(strings.ReplaceAll(servertest.Expecting, "text: celeriac royale", "text: "+long), panel.Open)
	ctx := servertest.Browser(t, 360, 740, false)
	f.JoinInBrowser(ctx, f.Web.URL, id, panel.RoleFloor)
	ballot := f.Begun(join)
	by, err := f.Svc.Session(t.Context(), f.StaffToken(id, panel.RoleFloor))
	f.Must(err)
	guest, err := f.Svc.SeatGuest(t.Context(), by, "a-guest-without-a-phone",
		panel.GuestConsent{AllergensRead: true, ConsentRead: true})
	f.Must(err)
	token := "/t/" + string(f.SeatedTokenAt(join))
	for _, path := range []string{token, ballot, "/floor", "/floor?show=all", "/floor/seats/" + string(guest.ID),
		"/floor/seats/" + string(guest.ID) + "/scores/" + string(guest.Reads.ID)} {
		servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+path))
		servertest.LooksSound(t, ctx, path, script)
	}
}
