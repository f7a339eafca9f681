package phone_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/study"
)

// TestOneQuestionAScreen: the second question comes after the first was answered, by the
// keyboard too; Back keeps what was answered, and both are sent together.
func TestOneQuestionAScreen(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, join := f.InState(strings.Replace(servertest.Custard, "rinse: 0 s", "rinse: 0 s, one question a screen: true",
		1), panel.Open)
	phone := servertest.Browser(t, 360, 740, false)
	servertest.Run(t, phone, chromedp.Navigate(f.Web.URL+f.Begun(join)))
	const shown = `[...document.querySelectorAll("form .ask")].map((a) => a.checkVisibility()).join(" ")`
	servertest.Poll(t, phone, shown+` === "true false"`)
	servertest.Says(t, phone, ".one-step", "Question 1 of 2")
	servertest.Tap(t, phone, "Next")
	servertest.Says(t, phone, ".problems", "One answer is missing")
	servertest.Run(t, phone, chromedp.SendKeys(chromedp.CSS("#a1"), "40\r"))
	servertest.Poll(t, phone, shown+` === "false true" && !document.querySelector(".problems")`)
	servertest.Says(t, phone, ".one-step", "Question 2 of 2")
	servertest.Tap(t, phone, "Back")
	servertest.Poll(t, phone, shown+` === "true false" && document.querySelector("#a1").value === "40"`)
	servertest.Tap(t, phone, "Next")
	servertest.Run(t, phone, chromedp.Click(chromedp.CSS(`label.choice:has([value="6"])`)))
	servertest.Tap(t, phone, "Send these 2 answers")
	servertest.Says(t, phone, "h1", "Serving 2 of 2")
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	_, ratings, err := f.Svc.Ratings(t.Context(), id)
	f.Must(err)
	kept := map[study.AttributeID]float64{}
	for _, r := range ratings {
		kept[r.Attribute] = r.Value
	}
	if len(ratings) != 2 || kept["salt"] != 40 || kept["liking"] != 6 {
		t.Errorf("kept are %+v", ratings)
	}
}
