package report_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/report"
)

// TestEveryPartSaysThatItIsSimulated: every heading below the title has its mark
// beside it, and without the option there is none.
func TestEveryPartSaysThatItIsSimulated(t *testing.T) {
	s, r := expected(t, 1)
	for _, simulated := range []bool{true, false} {
		var html bytes.Buffer
		must(t, report.WriteHTML(&html, report.Build(s, r, report.Options{Simulated: simulated})))
		doc, err := goquery.NewDocumentFromReader(&html)
		must(t, err)
		parts := doc.Find("article h2")
		if parts.Length() < 5 {
			t.Fatalf("%d parts", parts.Length())
		}
		parts.Each(func(_ int, h *goquery.Selection) {
			mark := h.Next()
			if got := mark.HasClass("report-simulated") &&
				strings.Contains(mark.Text(), "Simulated, invented answers"); got != simulated {
				t.Errorf("simulated: %t; part %q is marked: %t", simulated, h.Text(), got)
			}
		})
		if got := doc.Find("h1").Length() == 1; got == simulated {
			t.Errorf("simulated: %t; the report has a heading of the first level: %t", simulated, got)
		}
	}
}
