package phone_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// far lets every answer of the service take two seconds more, as over a bad line.
func far(f *servertest.Fixture) {
	near := f.Web.Config.Handler
	f.Web.Config.Handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		time.Sleep(2 * time.Second)
		near.ServeHTTP(w, r)
	})
}

// TestFirstRatingTakesOneJourney: over a line on which every answer takes two seconds more,
// the first serving needs nothing but its page once the instructions were read, so that it
// can be rated after one journey; and opened by itself, after two: no script waits to
// be named by another.
func TestFirstRatingTakesOneJourney(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard, panel.Open)
	far(f)
	token, err := f.Svc.Consent(t.Context(), join, "a-guest-far-away", panel.PhoneConsent{})
	f.Must(err)
	phone := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+"/t/"+string(token)))
	const scripts = `performance.getEntriesByType("resource").filter((e) => /\.(js|css)$/.test(e.name))`
	servertest.Poll(t, phone, scripts+`.length >= 10`)
	servertest.Press(t, phone, "main .next")
	servertest.Poll(t, phone, `document.querySelector(".line:not([hidden])") !== null`)
	const asked = `JSON.stringify(` + scripts + `.filter((e) => e.duration > 1500).map((e) => e.name.split("/").pop()))`
	if got := servertest.Eval[string](t, phone, asked); got != "[]" {
		t.Errorf("after the instructions the first serving still waits for %s", got)
	}
	other := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, other, chromedp.Navigate(f.Web.URL+"/t/"+string(token)))
	servertest.Poll(t, other, `document.querySelector(".line:not([hidden])") !== null`)
	const chained = `(() => { const all = ` + scripts + `, first = Math.min(...all.map((e) => e.responseEnd));
		return all.filter((e) => e.startTime >= first).map((e) => e.name.split("/").pop()).join(" "); })()`
	if got := servertest.Eval[string](t, other, chained); strings.TrimSpace(got) != "" {
		t.Errorf("asked for only when another script had come: %s", got)
	}
}
