package desk_test

import (
	"context"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/servertest"
)

// TestTheLeadIsShownWhatNeedsFixing: before a sitting opens its page says what is wrong and
// what to do, and nothing of what is well; Prepare lists both.
func TestTheLeadIsShownWhatNeedsFixing(t *testing.T) {
	f := servertest.NewWith(t, server.Options{SetupCode: servertest.SetupCode,
		Checkups: func(context.Context) []server.Checkup {
			return []server.Checkup{{What: "disk", Found: "61 GiB are free"},
				{What: "clock", Found: "an hour behind", Todo: "set the clock", Wrong: true},
				{What: "backups", Found: "none are made", Todo: "name a folder"}}
		}})
	locked, _ := f.InState(servertest.Custard, panel.Locked)
	open, _ := f.InState(servertest.Custard, panel.Open)
	lead := f.Lead()
	page := lead.Get("/studies/" + string(locked)).HTML()
	text := strings.Join(strings.Fields(page.Find("main .caution").Text()), " ")
	for _, want := range []string{"Needs fixing before guests come: clock. an hour behind.", "set the clock.",
		"Look at this: backups."} {
		if !strings.Contains(text, want) {
			t.Errorf("the page of a locked study lacks %q: %s", want, text)
		}
	}
	if strings.Contains(page.Find("main").Text(), "61 GiB") {
		t.Error("the page of a locked study lists what is well")
	}
	if text := lead.Get("/studies/" + string(locked) + "/prepare").HTML().Find("main").Text(); !strings.Contains(text,
		"disk: 61 GiB are free") || !strings.Contains(text, "set the clock") {
		t.Errorf("Prepare says %s", text)
	}
	text = lead.Get("/studies/" + string(open)).HTML().Find("main").Text()
	if strings.Contains(text, "set the clock") {
		t.Error("the page of a study whose sittings are open says it")
	}
}
