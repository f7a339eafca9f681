package desk_test

import (
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

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
	reads(study, "Phones not heard from for ten minutes or more: 1.", "")
	v.Get(p.Path)
	reads(study+"/close", "One phone has not finished.", "not been heard from")
}
