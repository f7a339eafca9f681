package desk_test

import (
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestBoardKeepsItselfFresh: the lead's open page counts on without being loaded
// again, and loads again once when the study is closed elsewhere.
func TestBoardKeepsItselfFresh(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	id, join := f.InState(servertest.Custard, panel.Open)
	ctx := servertest.Browser(t, 1280, 800, true)
	servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/studies/"+string(id)),
		chromedp.SendKeys(chromedp.CSS("#password"), servertest.LeadPassword))
	servertest.Press(t, ctx, "main .next")
	if got := servertest.Text(t, ctx, ".finished dd"); got != "0" {
		t.Fatalf("%s finished at the start", got)
	}
	f.Tasted(join, "nonce-of-a-guest-1", "20", "30")
	servertest.Poll(t, ctx, `document.querySelector(".finished dd").textContent === "1"`)
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	servertest.Poll(t, ctx, `document.querySelector(".report-first") !== null`)
}
