package phone_test

import (
	"os"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestAGuestIsDealtOneSample goes from the link on the table to the thanks: the guest says to
// which group they belong, tastes the one serving that they are dealt, and is done.
func TestAGuestIsDealtOneSample(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	file, err := os.ReadFile("../../../../studies/one-name-each.yaml")
	f.Must(err)
	id, join := f.InState(strings.Replace(string(file), "  design: one",
		"  design: one\n  plate gate: false\n  show numbers: true", 1), panel.Open)
	ctx := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, ctx, chromedp.Navigate(f.Room()+"/join/"+string(join)))
	servertest.Says(t, ctx, "form[action$=consent]", "Have you eaten with us before?")
	servertest.Press(t, ctx, "form[action$=consent] button")
	servertest.Says(t, ctx, ".problems", "Have you eaten with us before?")
	servertest.Run(t, ctx, chromedp.Click(chromedp.CSS("#g1-2")))
	servertest.Press(t, ctx, "form[action$=consent] button")
	servertest.Says(t, ctx, "main", "Check that the code on the plate")
	servertest.Press(t, ctx, "button.next")
	name := servertest.Text(t, ctx, ".name")
	servertest.Answer(t, ctx, "40", "7")
	servertest.Says(t, ctx, "h1", "Thank you")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if dealt := f.InPackage(id, "dealt.csv"); strings.Count(dealt, "\n") != 2 ||
		!strings.Contains(dealt, `"no, this is my first visit"`) {
		t.Errorf("dealt.csv:\n%s", dealt)
	}
	if key := f.InPackage(id, "key.csv"); !strings.Contains(key, map[string]string{
		"celeriac crème brûlée": "brulee", "celeriac royale": "royale"}[strings.Trim(name, "“”")]) || f.Held(id) == "" {
		t.Errorf("the phone called it %q, the key says\n%s", name, key)
	}
}
