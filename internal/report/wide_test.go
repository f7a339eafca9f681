package report_test

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// wide is the result of 200 assessors, six samples and ten attributes; on every attribute
// each sample has step more than the one before.
func wide(t testing.TB, step float64) (*study.Study, *analysis.Result) {
	s := panelOf(6)
	s.Plan.SmallestEffect = 5
	for j := 1; j < 10; j++ {
		a := s.Attributes[0]
		a.ID, a.Ask = study.AttributeID(fmt.Sprintf("a%d", j)), fmt.Sprintf("How strong is note %d?", j)
		s.Attributes = append(s.Attributes, a)
	}
	random := rand.New(rand.NewPCG(3, 4))
	var ratings []analysis.Rating
	for i := range 200 {
		for p, x := range random.Perm(6) {
			for _, a := range s.Attributes {
				v := min(100, float64(random.IntN(60))+step*float64(x))
				ratings = append(ratings, analysis.Rating{Assessor: fmt.Sprint(i), Position: p + 1,
					Sample: s.Samples[x].ID, Attribute: a.ID, Value: v})
			}
		}
	}
	return s, analyse(t, s, ratings)
}

func BenchmarkWidePage(b *testing.B) {
	s, r := wide(b, 5)
	b.ReportAllocs()
	for b.Loop() {
		var page bytes.Buffer
		if err := report.WriteHTML(&page, report.Build(s, r, report.Options{})); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(page.Len())/1024, "kB")
	}
}

// height is how high a page of a file is on a screen of a width.
func height(t *testing.T, ctx context.Context, address string, width int64) int {
	t.Helper()
	for _, step := range []chromedp.Action[chromedp.Void]{chromedp.EmulateViewport(width, 800),
		chromedp.Navigate(address), chromedp.WaitVisible("#figure-overview .report-canvas > svg")} {
		if _, err := chromedp.Run(ctx, step); err != nil {
			t.Fatal(err)
		}
	}
	high, err := chromedp.Run(ctx, chromedp.Evaluate[int](`document.documentElement.scrollHeight`))
	if err != nil {
		t.Fatal(err)
	}
	return high
}

// Whoever opens the report of a large study finds what matters without scrolling through
// 150 comparisons; the rest is there on request.
func TestPageOfALargeStudyStaysShort(t *testing.T) {
	ctx := browser(t)
	for _, step := range []float64{0, 1, 5} {
		s, r := wide(t, step)
		file := filepath.Join(t.TempDir(), "report.html")
		var out bytes.Buffer
		if err := report.WriteHTML(&out, report.Build(s, r, report.Options{})); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, out.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		for width, most := range map[int64]int{1280: 9500, 360: 18500} {
			high := height(t, ctx, "file://"+file, width)
			t.Logf("steps of %g points: %d pixels high at a width of %d", step, high, width)
			if high > most {
				t.Errorf("steps of %g points: %d pixels high at a width of %d, want at most %d", step, high, width,
					most)
			}
		}
	}
}

// What a long page says of what it folds away is so, and nothing is in two places or in none.
func TestLongPageCountsWhatItFolds(t *testing.T) {
	for _, step := range []float64{0, 0.5, 1, 5} {
		s, r := wide(t, step)
		p := report.Build(s, r, report.Options{})
		folded, clear, allClear := 0, 0, 0
		for i, row := range p.Table {
			if row.Clear && i > 0 {
				allClear++
			}
			if row.Folded {
				folded++
				if row.Clear {
					clear++
				}
			}
		}
		said := map[bool]string{true: "none of them clear", false: fmt.Sprintf("%d of them clear", clear)}[clear == 0]
		if clear == folded {
			said = "all of them clear"
		}
		if want := fmt.Sprintf("%d more comparisons, %s", folded, said); p.FoldedText != want || p.Folded != folded {
			t.Errorf("steps of %g: %q, want %q", step, p.FoldedText, want)
		}
		if p.Table[0].Folded || len(p.Table)-folded > 10 || p.Table[0].TestsFolded {
			t.Errorf("steps of %g: %d rows in view, the primary one folded: %t", step, len(p.Table)-folded,
				p.Table[0].Folded)
		}
		toldClear := 0
		for _, x := range slices.Concat(p.Others, p.MoreOther) {
			if x.Outcome == report.Clear {
				toldClear++
			}
		}
		if toldClear != allClear {
			t.Errorf("steps of %g: %d clear findings are told of %d", step, toldClear, allClear)
		}
		if len(p.Notes)+len(p.FoldedNotes) == 0 || len(p.FoldedPanels()) != 9 {
			t.Errorf("steps of %g: %d notes, %d folded panels", step, len(p.Notes)+len(p.FoldedNotes),
				len(p.FoldedPanels()))
		}
	}
}
