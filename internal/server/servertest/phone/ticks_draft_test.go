package phone_test

import (
	"os"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestTicksOutliveTheirTab: words that were ticked and not sent are ticked when the tab is
// opened again, whatever the order of the list, and the next serving begins with none.
func TestTicksOutliveTheirTab(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../../../../studies/custard-in-words.yaml")
	if err != nil {
		t.Fatal(err)
	}
	f := servertest.New(t)
	_, join := f.InState(string(text), panel.Open)
	ballot := f.Room() + f.Begun(join)
	ctx := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, ctx, chromedp.Navigate("about:blank"))
	phone, closeTab := servertest.Tab(t, ctx)
	servertest.Run(t, phone, chromedp.Navigate(ballot))
	servertest.Poll(t, phone, `document.querySelector("#a2-4") !== null`)
	for _, choice := range []string{"#a1-7", "#a2-4", "#a2-11"} {
		servertest.Run(t, phone, chromedp.Click(chromedp.CSS("label.choice:has("+choice+")")))
	}
	const given = `[...document.querySelectorAll("form input:checked")].map((e) => e.id).sort().join(" ")`
	const kept = `window.kept ??= (import(document.querySelector("script[src$='/ballot.js']").src
		.replace("ballot.js", "outbox.js"))
		.then(({ within }) => within("ballots", "readonly", (s) => s.getAll()))
		.then((all) => { window.kept = JSON.stringify(all).includes('"a2","11"') || null; }), null) === true`
	servertest.Poll(t, phone, kept)
	closeTab()
	phone, closeTab = servertest.Tab(t, ctx)
	defer closeTab()
	servertest.Run(t, phone, chromedp.Navigate(ballot))
	servertest.Poll(t, phone, given+` === "a1-7 a2-11 a2-4"`)
	servertest.Press(t, phone, "form .next")
	servertest.Poll(t, phone, `document.querySelector("main").innerText.includes("Rinse your mouth")`)
	f.Clock.Pass(60e9)
	servertest.Run(t, phone, chromedp.Navigate(ballot))
	servertest.Says(t, phone, ".plate h1", "Serving 2 of 3")
	if got := servertest.Eval[string](t, phone, given); got != "" {
		t.Errorf("the next serving begins with %q", got)
	}
}
