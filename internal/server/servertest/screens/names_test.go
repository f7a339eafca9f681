package screens_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestNamesFitAndPassAxe looks at the screens of names on a phone, in light and dark.
func TestNamesFitAndPassAxe(t *testing.T) {
	script := servertest.Axe(t)
	for _, dark := range []bool{false, true} {
		f := servertest.New(t)
		long := strings.Repeat("celeriac royale long told ", 7)
		id, join := f.InState(strings.ReplaceAll(servertest.Expecting, "text: celeriac royale", "text: "+long), panel.Open)
		ctx := servertest.Browser(t, 360, 740, dark)
		f.JoinInBrowser(ctx, f.Web.URL, id, panel.RoleFloor)
		ballot := f.Begun(join)
		by, err := f.Svc.Session(t.Context(), f.StaffToken(id, panel.RoleFloor))
		f.Must(err)
		guest, err := f.Svc.SeatGuest(t.Context(), by, "a-guest-without-a-phone", panel.GuestConsent{AllergensRead: true, ConsentRead: true})
		f.Must(err)
		token := "/t/" + f.SeatedTokenAt(join)
		for _, path := range []string{token, ballot, "/floor", "/floor?show=all", "/floor/seats/" + guest.ID, "/floor/seats/" + guest.ID + "/scores/" + guest.Reads.ID} {
			if bad := servertest.Violations(t, ctx, f.Web.URL+path, script); len(bad) > 0 {
				t.Errorf("%s (dark: %t):\n%s", path, dark, strings.Join(bad, "\n"))
			}
			for _, size := range [][2]int64{{360, 740}, {820, 1180}} {
				servertest.Run(t, ctx, chromedp.EmulateViewport(size[0], size[1]))
				if bad := servertest.Eval[[]string](t, ctx, servertest.Misfits); len(bad) > 0 {
					t.Errorf("%s at %d × %d:\n%s", path, size[0], size[1], strings.Join(bad, "\n"))
				}
			}
		}
	}
}
