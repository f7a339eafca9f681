package server_test

import (
	"context"
	"strings"
	"testing"
	"time"

	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
)

// joinInBrowser joins a sitting as kitchen or floor, through link and code.
func (f *fixture) joinInBrowser(ctx context.Context, room, id string, r panel.Role) {
	f.t.Helper()
	a := f.staffAccess(id, r)
	run(f.t, ctx, chromedp.Navigate(room+"/staff/"+a.Link), chromedp.SendKeys(chromedp.CSS("#code"), a.Code))
	press(f.t, ctx, "main .next")
}

// TestSittingInRealBrowsers: kitchen on a tablet, floor on a phone, the lead's
// board and two guests' phones, over plain HTTP, at one sitting. Each page shows
// what the others did without being loaded again.
func TestSittingInRealBrowsers(t *testing.T) {
	f := newFixture(t)
	f.must(f.svc.SetPassword(t.Context(), leadPassword))
	file := strings.Replace(custard, "scale: hedonic-9", "scale: {categories: [not at all, a little, much]}", 1)
	id, join := f.inState(file, panel.Open)
	room := "http://" + roomHost + f.web.URL[strings.LastIndex(f.web.URL, ":"):]

	kitchen, floor, board := browser(t, 820, 1180, false), browser(t, 360, 740, true), browser(t, 1280, 800, false)
	f.joinInBrowser(kitchen, room, id, panel.RoleKitchen)
	f.joinInBrowser(floor, room, id, panel.RoleFloor)
	run(t, board, chromedp.Navigate(room+"/studies/"+id+"/screen"), chromedp.SendKeys(chromedp.CSS("#password"), leadPassword))
	press(t, board, "main .next")

	phones := []context.Context{browser(t, 360, 740, false), browser(t, 360, 740, true)}
	for _, phone := range phones {
		run(t, phone, chromedp.Navigate(room+"/join/"+join))
		press(t, phone, ".next")
		press(t, phone, ".next") // begin
	}
	poll(t, floor, `document.querySelectorAll(".seat.waiting").length === 2`)
	poll(t, kitchen, `document.querySelectorAll("#wave-1 .codes .now").length === 2`)
	poll(t, board, `document.querySelector(".counts dd").textContent === "2"`)

	code := strings.TrimPrefix(text(t, phones[0], ".plate .code"), "code ")
	if got := text(t, floor, ".seat.waiting .code"); got != code {
		t.Fatalf("floor takes %s to the first seat, the guest expects %s", got, code)
	}
	run(t, floor, chromedp.Sleep(time.Second)) // a tap just after the list moved is not taken
	run(t, floor, chromedp.Click(chromedp.CSS(".seat.waiting button")))
	poll(t, kitchen, `document.querySelectorAll("#wave-1 .codes .served").length === 1`)

	for _, phone := range phones {
		for range 2 {
			run(t, phone, chromedp.SendKeys(chromedp.CSS("#a1"), "40"), chromedp.Click(chromedp.CSS(`label.choice:has([value="2"])`)))
			press(t, phone, "form .next")
		}
		if got := text(t, phone, "h1"); got != "Thank you" {
			t.Fatalf("a phone ends at %q", got)
		}
	}
	poll(t, board, `document.querySelector(".finished dd").textContent === "2"`)
	poll(t, floor, `document.querySelectorAll(".seat").length === 0`)

	press(t, kitchen, `a[href="/kitchen/blind"]`)
	run(t, kitchen, chromedp.SendKeys(chromedp.CSS("#code"), code), chromedp.Click(chromedp.CSS("#why label.choice")))
	press(t, kitchen, "main .next")
	if got := text(t, kitchen, "h1"); got != code+": "+canaryDishTitle+" custard" {
		t.Errorf("the opened plate is %q", got)
	}
	f.must(f.svc.Close(t.Context(), id))
	poll(t, floor, `document.querySelector(".told")?.textContent.includes("over") === true`)
}

// TestPageWithoutAStream: where the stream of events is cut, the page asks again
// and says that it may be old while nobody answers.
func TestPageWithoutAStream(t *testing.T) {
	f := newFixture(t)
	id, join := f.inState(custard, panel.Open)
	ctx := browser(t, 360, 740, false)
	f.joinInBrowser(ctx, f.web.URL, id, panel.RoleFloor)
	// The next streams lead nowhere; this page's own is replaced with the page.
	_, err := chromedp.Call(ctx, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{
		Source: `window.EventSource = class { constructor() { setTimeout(() => this.onerror?.(), 10); } addEventListener() {} close() {} };`,
	})
	if err != nil {
		t.Fatal(err)
	}
	run(t, ctx, chromedp.Navigate(f.web.URL+"/floor"))
	f.began(join, "a-guest-without-a-stream")
	poll(t, ctx, `document.querySelectorAll(".seat.waiting").length === 1`)
}
