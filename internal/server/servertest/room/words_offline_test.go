package room_test

import (
	"os"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestFloorTicksWordsWithoutNetwork: without network the floor asks a guest without a phone
// in the order that the plan has for each serving, as paper does, and what was ticked is
// there when the network is back.
func TestFloorTicksWordsWithoutNetwork(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../../../../studies/custard-in-words.yaml")
	if err != nil {
		t.Fatal(err)
	}
	script := servertest.Axe(t)
	f := servertest.New(t)
	net := f.Network()
	id, _ := f.InState(strings.Replace(string(text), "rinse: 45 s", "rinse: 0 s", 1), panel.Open)
	v := f.Staff(id, panel.RoleFloor)
	nonce := v.Get("/floor/guest").HTML().Find("[name=nonce]").AttrOr("value", "")
	v.Post("/floor/guest", "nonce", nonce, "allergens", "yes", "consent", "yes")
	var sheets [][]string // the words as each sheet of the guest has them
	v.Get("/floor/ballots?seat=1").HTML().Find("section.paper").Each(func(_ int, sheet *goquery.Selection) {
		if words := sheet.Find(".asked").Last().Find(".box"); words.Length() > 9 {
			sheets = append(sheets, words.Map(func(_ int, w *goquery.Selection) string { return w.Text() }))
		}
	})
	if len(sheets) != 3 || strings.Join(sheets[0], " ") == strings.Join(sheets[1], " ") {
		t.Fatalf("the sheets have %q", sheets)
	}
	phone := servertest.Browser(t, 360, 740, false)
	f.JoinInBrowser(phone, f.Web.URL, id, panel.RoleFloor)
	floorReady(t, phone)

	net.Away.Store(true)
	servertest.Settled(t, phone)
	servertest.Poll(t, phone, servedButton)
	servertest.Says(t, phone, "h1", "no network")
	for i, words := range sheets[:2] {
		servertest.TypeIn(t, phone, "#plate", f.Code(id, i))
		servertest.Tap(t, phone, "Whose is it?")
		if i > 0 {
			servertest.Tap(t, phone, "Set down")
			servertest.TypeIn(t, phone, "#plate", f.Code(id, i))
			servertest.Tap(t, phone, "Whose is it?")
		}
		servertest.Tap(t, phone, "Enter the scores")
		got := servertest.Eval[[]string](t, phone,
			`[...document.querySelectorAll("#asks .ticks label.choice")].map((e) => e.textContent.trim())`)
		if strings.Join(got, " / ") != strings.Join(words, " / ") {
			t.Errorf("serving %d: the phone asks %q, the sheet %q", i+1, got, words)
		}
		if i == 0 {
			servertest.LooksSound(t, phone, "words without network", script)
			servertest.Run(t, phone, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
		}
		for _, choice := range []string{`#a1-7`, `#a2-1`, `#a2-12`} { // the first word of the study and its last
			servertest.Run(t, phone, chromedp.Click(chromedp.CSS("label.choice:has("+choice+")")))
		}
		servertest.Tap(t, phone, "Keep these scores")
	}
	servertest.Says(t, phone, "#kept-note", "4 notes are kept")
	net.Away.Store(false)
	servertest.Eval[bool](t, phone, `window.dispatchEvent(new Event("online"))`)
	servertest.Poll(t, phone, `document.querySelector("#live") !== null &&
		document.querySelector("#kept-note").textContent === ""`)
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	held := f.Held(id)
	for _, want := range []string{"liking 7", "words.smooth 1", "words.round 1", "words.salty 0"} {
		if strings.Count(held, want) != 2 {
			t.Errorf("%q is not held twice: %s", want, held)
		}
	}
}
