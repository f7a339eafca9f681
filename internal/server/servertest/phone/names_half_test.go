package phone_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestHalfThatReadsNamesInRealBrowsers: four phones of which two read names first, each half on one phone that
// loses its network and one without scripts. Which answers are kept says who was asked.
func TestHalfThatReadsNamesInRealBrowsers(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	net := f.Network()
	id, join := f.InState(servertest.ExpectingHalf, panel.Open)
	of := map[bool][]string{} // ballots, by whether names are read
	for i := range 4 {
		token, err := f.Svc.Consent(t.Context(), join, fmt.Sprintf("nonce-of-guest-%d", i), panel.PhoneConsent{})
		f.Must(err)
		f.Must(f.Svc.Start(t.Context(), token))
		b, err := f.Svc.Ballot(t.Context(), token)
		f.Must(err)
		reads := b.Stage == panel.StageNames
		of[reads] = append(of[reads], "/t/"+string(token))
	}
	if len(of[true]) != 2 || len(of[false]) != 2 {
		t.Fatalf("%d of four read names, want two", len(of[true]))
	}
	offline := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, offline, chromedp.Navigate("about:blank"))
	for _, reads := range []bool{true, false} {
		net.Away.Store(false)
		phone, closeTab := servertest.Tab(t, offline)
		ballot := f.Web.URL + of[reads][0]
		if reads {
			first, second := readsWithoutNetwork(f, t, phone, ballot, net)
			servertest.LooksSound(t, phone, "a name to read", servertest.Axe(t))
			tastesWithoutNetwork(f, t, phone, id, net, first, second)
		} else {
			servertest.Run(t, phone, chromedp.Navigate(ballot))
			servertest.Says(t, phone, ".plate h1", "Serving 1 of 2")
			prepared(f, t, phone)
			shown := servertest.Text(t, phone, ".name")
			later := map[string]string{servertest.NameA: servertest.NameB, servertest.NameB: servertest.NameA}[shown]
			net.Away.Store(true)
			servertest.Answer(t, phone, "20", "3")
			servertest.Says(t, phone, "#heading", "Serving 2 of 2")
			keepsNo(f, t, phone, append(servertest.Canaries, later)...)
			closeTab()
			phone, closeTab = servertest.Tab(t, offline) // opened again, still without network
			servertest.Run(t, phone, chromedp.Navigate(ballot))
			servertest.Says(t, phone, "#heading", "Serving 2 of 2")
			net.Away.Store(false)
			servertest.Run(t, phone, chromedp.Navigate(ballot))
			servertest.Says(t, phone, ".plate h1", "Serving 2 of 2")
			servertest.Answer(t, phone, "70", "6")
			servertest.Says(t, phone, "h1", "Thank you")
		}
		closeTab()
	}
	plain := servertest.Browser(t, 360, 740, false)
	if _, err := chromedp.Call(plain, emulation.SetScriptExecutionDisabled,
		emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	for reads, turns := range map[bool]int{true: 4, false: 2} {
		servertest.Run(t, plain, chromedp.Navigate(f.Room()+of[reads][1]))
		if got := servertest.Text(t, plain, "h1"); strings.HasPrefix(got, "Before you taste") != reads {
			t.Errorf("without scripts, asked %t: %q", reads, got)
		}
		for range turns {
			servertest.Run(t, plain, chromedp.SendKeys(chromedp.CSS("#a1"), "55"),
				chromedp.Click(chromedp.CSS(`label.choice:has([value="5"])`)))
			servertest.Press(t, plain, "form .next")
		}
		if got := servertest.Text(t, plain, "h1"); got != "Thank you" {
			t.Errorf("without scripts, asked %t, the phone ends at %q", reads, got)
		}
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	_, c, err := f.Svc.Collected(t.Context(), id)
	f.Must(err)
	said, rated := map[int]int{}, map[int]int{}
	for _, r := range c.Answers {
		if r.Code == "" {
			said[r.Place]++
		} else {
			rated[r.Place]++
		}
	}
	names := 0
	for place := range 4 {
		if rated[place] != 4 || said[place] != 0 && said[place] != 4 {
			t.Errorf("place %d: %d answers to names, %d to plates", place, said[place], rated[place])
		}
		names += said[place]
	}
	if names != 8 {
		t.Errorf("%d answers to names are kept, want those of two guests to two names on two questions", names)
	}
}
