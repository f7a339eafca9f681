package room_test

import (
	"bytes"
	"math"
	"regexp"
	"strconv"
	"testing"

	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestLabelsPrintOnTheirPaper prints labels to PDF as a browser does, and reads the
// size of the pages. Sources: ISO 216 for A4 (210 × 297 mm); US Letter is 8.5 × 11
// in; a point is 1/72 in (ISO 32000-1, 8.3.2.3).
func TestLabelsPrintOnTheirPaper(t *testing.T) {
	t.Parallel()
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	ctx := servertest.Browser(t, 1280, 800, true)
	f.JoinInBrowser(ctx, f.Web.URL, id, panel.RoleKitchen)
	for _, tc := range []struct {
		name, query   string
		width, height float64 // mm
		pages         int
	}{
		{"34 on two sheets of A4", "", 210, 297, 2},
		{"34 on four sheets of Letter", "?paper=letter&columns=2&rows=5&width=101.6&height=50.8&left=4&top=12.7&" +
			"across=4&down=0&right=0&lower=0&skip=0", 215.9, 279.4, 4},
	} {
		t.Run(tc.name, func(t *testing.T) {
			servertest.Run(t, ctx, chromedp.Navigate(f.Web.URL+"/kitchen/labels"+tc.query))
			got, err := chromedp.Call(ctx, cdppage.PrintToPDF, cdppage.PrintToPDFParams{PreferCSSPageSize: new(true)})
			if err != nil {
				t.Fatal(err)
			}
			boxes := regexp.MustCompile(`/MediaBox \[0 0 ([\d.]+) `+
				`([\d.]+)\]`).FindAllSubmatch(bytes.ReplaceAll(got.Data, []byte("\n"), []byte(" ")), -1)
			if len(boxes) != tc.pages {
				t.Fatalf("%d pages, want %d", len(boxes), tc.pages)
			}
			for i, want := range []float64{tc.width, tc.height} {
				points, err := strconv.ParseFloat(string(boxes[0][i+1]), 64)
				if err != nil {
					t.Fatal(err)
				}
				if mm := points / 72 * 25.4; math.Abs(mm-want) > 0.5 {
					t.Errorf("the page's side %d is %.1f mm, want %.1f", i, mm, want)
				}
			}
		})
	}
}
