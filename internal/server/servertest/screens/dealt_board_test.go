package screens_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestBoardOfWhoCameLooksSound looks at the board of a study that deals a sample to each
// guest on arrival, with long names of groups.
func TestBoardOfWhoCameLooksSound(t *testing.T) {
	f := servertest.New(t)
	file := strings.NewReplacer("{rinse: 0 s, seed: 7, show numbers: true, plate gate: false}", `{seed: 7,
  design: one, plate gate: false,
  strata: [{id: visit, ask: Have you eaten with us before?, levels: ["yes, I have been here before", "no, this is my `+
		`first visit"]},
    {id: room, levels: [the dining hall by the garden, bar]}]}`, "paired-t", "welch-t").Replace(servertest.Custard)
	id, join := f.InState(file, panel.Open)
	for i := range 3 {
		_, err := f.Svc.Consent(t.Context(), join, fmt.Sprintf("a-guest-who-arrives-%d", i),
			panel.PhoneConsent{Levels: map[string]int{"g1": i%2 + 1, "g2": 1}})
		f.Must(err)
	}
	f.LeadSession()
	ctx := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/studies/"+string(id)),
		chromedp.SendKeys(chromedp.CSS("#password"), servertest.LeadPassword))
	servertest.Press(t, ctx, "main .next")
	servertest.Says(t, ctx, "#live", "no, this is my first visit, bar")
	servertest.LooksSound(t, ctx, "the board of who came", servertest.Axe(t))
}
