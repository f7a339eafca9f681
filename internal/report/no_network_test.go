package report_test

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/report"
)

// asked are the addresses that a page has asked for, whether or not they answered.
const asked = `performance.getEntriesByType("resource").map(x => x.name)`

// TestReportFileAsksTheNetworkForNothing opens the one file of a report in a browser that
// reaches no address: it draws its figures and has asked for nothing. A page with a picture
// from elsewhere shows that asking would be seen.
func TestReportFileAsksTheNetworkForNothing(t *testing.T) {
	ctx := browserOf(t, chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND"))
	s, r := custard(t)
	var out bytes.Buffer
	if err := report.WriteHTML(&out, report.Build(s, r, report.Options{})); err != nil {
		t.Fatal(err)
	}
	picture := "https://elsewhere.example/a.png"
	asking := bytes.Replace(out.Bytes(), []byte("</body>"), []byte(`<img src="`+picture+`"></body>`), 1)
	for name, tc := range map[string]struct {
		page []byte
		want []string
	}{
		"report.html": {out.Bytes(), nil},
		"asks.html":   {asking, []string{picture}},
	} {
		file := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(file, tc.page, 0o600); err != nil {
			t.Fatal(err)
		}
		look(t, ctx, "file://"+file).check(t)
		if _, err := chromedp.Run(ctx, chromedp.Poll[bool](`document.readyState === "complete"`)); err != nil {
			t.Fatal(err)
		}
		got, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](asked))
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(got, tc.want) {
			t.Errorf("%s asks for %v, want %v", name, got, tc.want)
		}
	}
}
