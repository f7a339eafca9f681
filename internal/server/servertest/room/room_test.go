package room_test

import (
	"context"
	"strings"
	"testing"

	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestSittingInRealBrowsers: kitchen on a tablet, floor on a phone, the lead's
// board and two guests' phones, over plain HTTP, at one sitting. Each page shows
// what the others did without being loaded again.
func TestSittingInRealBrowsers(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	file := strings.Replace(servertest.Custard, "scale: hedonic-9", "scale: {categories: [not at all, a little, much]}",
		1)
	id, join := f.InState(file, panel.Open)
	room := "http://" + servertest.RoomHost + f.Web.URL[strings.LastIndex(f.Web.URL, ":"):]

	kitchen, floor, board := servertest.Browser(t, 820, 1180, false), servertest.Browser(t, 360, 740,
		true), servertest.Browser(t, 1280, 800, false)
	f.JoinInBrowser(kitchen, room, id, panel.RoleKitchen)
	f.JoinInBrowser(floor, room, id, panel.RoleFloor)
	servertest.Run(t, board, chromedp.Navigate(room+"/studies/"+string(id)+"/screen"),
		chromedp.SendKeys(chromedp.CSS("#password"), servertest.LeadPassword))
	servertest.Press(t, board, "main .next")

	phones := []context.Context{servertest.Browser(t, 360, 740, false), servertest.Browser(t, 360, 740, true)}
	for _, phone := range phones {
		servertest.Run(t, phone, chromedp.Navigate(room+"/join/"+string(join)))
		servertest.Press(t, phone, ".next")
		servertest.Press(t, phone, ".next") // begin
	}
	servertest.Poll(t, floor, `document.querySelectorAll(".seat.waiting").length === 2`)
	servertest.Poll(t, kitchen, `document.querySelectorAll("#wave-1 .codes .now").length === 2`)
	servertest.Poll(t, board, `document.querySelector(".counts dd").textContent === "2"`)

	code := strings.TrimPrefix(servertest.Text(t, phones[0], ".plate .code"), "code ")
	if got := servertest.Text(t, floor, ".seat.waiting .code"); got != code {
		t.Fatalf("floor takes %s to the first seat, the guest expects %s", got, code)
	}
	servertest.TypeIn(t, floor, "#plate", code)
	servertest.Tap(t, floor, "Whose is it?")
	servertest.Says(t, floor, ".plate .code", code)
	servertest.Settled(t, floor)
	servertest.Press(t, floor, ".acts .next")
	servertest.Poll(t, kitchen, `document.querySelectorAll("#wave-1 .codes .served").length === 1`)

	for _, phone := range phones {
		for range 2 {
			servertest.Run(t, phone, chromedp.SendKeys(chromedp.CSS("#a1"), "40"),
				chromedp.Click(chromedp.CSS(`label.choice:has([value="2"])`)))
			servertest.Press(t, phone, "form .next")
		}
		if got := servertest.Text(t, phone, "h1"); got != "Thank you" {
			t.Fatalf("a phone ends at %q", got)
		}
	}
	servertest.Poll(t, board, `document.querySelector(".finished dd").textContent === "2"`)
	servertest.Poll(t, floor, `document.querySelectorAll(".seat").length === 0`)

	servertest.Press(t, kitchen, `a[href="/kitchen/blind"]`)
	servertest.Run(t, kitchen, chromedp.SendKeys(chromedp.CSS("#code"), code),
		chromedp.Click(chromedp.CSS("#why label.choice")))
	servertest.Press(t, kitchen, "main .next")
	if got := servertest.Text(t, kitchen, "h1"); got != code+": "+servertest.CanaryDishTitle+" custard" {
		t.Errorf("the opened plate is %q", got)
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	servertest.Poll(t, floor, `document.querySelector(".told")?.textContent.includes("over") === true`)
}

// TestPageWithoutAStream: where the stream of events is cut, the page asks again
// and says that it may be old while nobody answers.
func TestPageWithoutAStream(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	ctx := servertest.Browser(t, 360, 740, false)
	f.JoinInBrowser(ctx, f.Web.URL, id, panel.RoleFloor)
	// The next streams lead nowhere; this page's own is replaced with the page.
	_, err := chromedp.Call(ctx, cdppage.AddScriptToEvaluateOnNewDocument,
		cdppage.AddScriptToEvaluateOnNewDocumentParams{
			Source: `window.EventSource = class { constructor() { setTimeout(() => this.onerror?.(), 10); ` +
				`} addEventListener() {} close() {} };`,
		})
	if err != nil {
		t.Fatal(err)
	}
	servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/floor"))
	f.Began(join, "a-guest-without-a-stream")
	servertest.Poll(t, ctx, `document.querySelectorAll(".seat.waiting").length === 1`)
}
