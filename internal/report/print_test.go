package report_test

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"cloche/internal/report"
)

// TestReportPrintsOnThePaperThatThereIs: on A4 and on Letter, as many pages as it needs, and the
// paragraph of methods with it.
func TestReportPrintsOnThePaperThatThereIs(t *testing.T) {
	ctx := browser(t)
	s, r := custard(t)
	file := filepath.Join(t.TempDir(), "report.html")
	var out bytes.Buffer
	page := report.Build(s, r, report.Options{Methods: []report.MethodsText{{Language: "en",
		Text: "We held a blind tasting."}}})
	if err := report.WriteHTML(&out, page); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, out.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	height(t, ctx, "file://"+file, 1280) // opens it, and waits for its figures
	for name, size := range map[string][2]float64{"A4": {8.27, 11.69}, "Letter": {8.5, 11}} {
		got, err := chromedp.Call(ctx, cdppage.PrintToPDF, cdppage.PrintToPDFParams{PaperWidth: size[0],
			PaperHeight: size[1], PreferCSSPageSize: new(true)})
		if err != nil {
			t.Fatal(err)
		}
		boxes := regexp.MustCompile(`/MediaBox\s*\[0 0 ([\d.]+)\s([\d.]+)\]`).FindAllSubmatch(got.Data, -1)
		if n := len(boxes); n < 5 || n > 10 {
			t.Fatalf("%s: %d pages, want 5 to 10", name, n)
		}
		t.Logf("%s: %d pages", name, len(boxes))
		for i, want := range size {
			points, err := strconv.ParseFloat(string(boxes[0][i+1]), 64)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(points/72-want) > 0.02 {
				t.Errorf("%s: side %d is %.2f inches, want %.2f", name, i, points/72, want)
			}
		}
	}
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Media: "print"}); err != nil {
		t.Fatal(err)
	}
	high, err := chromedp.Run(ctx, chromedp.Evaluate[float64](
		`document.querySelector(".report-methods p").getBoundingClientRect().height`))
	if err != nil || high < 5 {
		t.Errorf("the paragraph of methods is %g pixels high on paper: %v", high, err)
	}
}
