package report_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// invented are the example studies with ratings, by name.
func invented(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("../../studies/*-ratings.csv")
	if err != nil || len(files) < 10 {
		t.Fatal(files, err)
	}
	for i, f := range files {
		files[i] = strings.TrimSuffix(filepath.Base(f), "-ratings.csv")
	}
	return files
}

func inventedOf(t *testing.T, name string) (*study.Study, *analysis.Result) {
	t.Helper()
	file, err := os.ReadFile("../../studies/" + name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse(name, file)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	answers, err := os.ReadFile("../../studies/" + name + "-ratings.csv")
	if err != nil {
		t.Fatal(err)
	}
	ratings, problems := analysis.ReadCSV(name, bytes.NewReader(answers), s, nil)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return s, analyse(t, s, ratings)
}

// Symbols of statistics, which begin below the first screen.
var symbols = regexp.MustCompile(`\bp (=|below|above) |% interval|\bt =|χ²|\bdf\b|d_z|g_z`)

// TestFirstScreenIsForWhoeverActs: the answer, what now, one picture and what it cannot say
// stand before all else, without a symbol; everything else is in the part that is folded.
func TestFirstScreenIsForWhoeverActs(t *testing.T) {
	for _, name := range invented(t) {
		s, r := inventedOf(t, name)
		p := report.Build(s, r, report.Options{})
		doc := render(t, s, r)
		head, folded := doc.Find(".report-head"), doc.Find("details.report-partner:not([open])")
		if head.Find(".report-first").Text() != p.Verdict[0] || head.Find(".report-next").Length() != 1 ||
			!strings.Contains(head.Find(".report-limits").Text(), p.Limits) {
			t.Errorf("%s: the first screen lacks the answer, what now or what it cannot say", name)
		}
		if got, want := head.Find(".report-canvas").Length(), min(1, len(p.Figures)); got != want {
			t.Errorf("%s: %d pictures on the first screen, want %d", name, got, want)
		}
		if got, want := folded.Find(".report-canvas").Length(), len(p.OtherFigures()); got != want {
			t.Errorf("%s: %d pictures are folded, want %d", name, got, want)
		}
		said := head.Find(".report-verdict, .report-limits").Text()
		if found := symbols.FindString(said); found != "" {
			t.Errorf("%s: the first screen has %q: %s", name, found, said)
		}
		if doc.Find("table").Length() != folded.Find("table").Length()+head.Find("figcaption table").Length() {
			t.Errorf("%s: a table stands outside the part that is folded", name)
		}
		for _, line := range p.InNumbers() {
			if !strings.Contains(folded.Text(), line) {
				t.Errorf("%s: nowhere: %s", name, line)
			}
		}
	}
}

// TestFirstScreenFits: who acts has read all by the third screen of a phone. On the first of a
// desk stand the words and the picture of every example, and of the main one what is below the
// picture too.
func TestFirstScreenFits(t *testing.T) {
	ctx := browser(t)
	for _, name := range invented(t) {
		s, r := inventedOf(t, name)
		var out bytes.Buffer
		if err := report.WriteHTML(&out, report.Build(s, r, report.Options{})); err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "report.html")
		if err := os.WriteFile(file, out.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		show(t, ctx, chromedp.EmulateViewport(360, 740), chromedp.Navigate("file://"+file))
		if phone := ending(t, ctx, ".report-partner > summary"); phone > 3*740 {
			t.Errorf("%s: who acts has read all after %.1f screens of a phone", name, phone/740)
		}
		show(t, ctx, chromedp.EmulateViewport(1280, 800))
		parts := []string{".report-verdict", ".report-head .report-canvas"}
		if name == "celeriac-custard" {
			parts = []string{".report-head"}
		}
		for _, part := range parts {
			if desk := ending(t, ctx, part); desk > 800 {
				t.Errorf("%s: on a desk %s ends at %.0f pixels", name, part, desk)
			}
		}
	}
}

func show(t *testing.T, ctx context.Context, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	for _, step := range steps {
		if _, err := chromedp.Run(ctx, step); err != nil {
			t.Fatal(err)
		}
	}
}

// ending is how far down a page an element ends, once the pictures that are seen are drawn as wide as
// they have room.
func ending(t *testing.T, ctx context.Context, what string) float64 {
	t.Helper()
	bottom, err := chromedp.Run(ctx, chromedp.Evaluate[float64](fmt.Sprintf(`new Promise((done) => {
		const look = () => [...document.querySelectorAll("[data-drawn]")].every((e) => !e.checkVisibility() ||
			e.dataset.drawn === String(Math.round(e.clientWidth)))
			? done(document.querySelector(%q).getBoundingClientRect().bottom + scrollY) : setTimeout(look, 20);
		look();
	})`, what), chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	return bottom
}

// TestBesideAnswersAreSeenByWhoeverActs: how far names drew the ratings, whether the blind held and whether
// everybody shifts stand before what is folded, without a symbol, where the study asked for it.
func TestBesideAnswersAreSeenByWhoeverActs(t *testing.T) {
	seen := map[string]int{}
	for _, name := range invented(t) {
		s, r := inventedOf(t, name)
		p := report.Build(s, r, report.Options{})
		doc := render(t, s, r)
		shown := doc.Find(".report > .report-beside")
		if shown.Length() != len(p.Beside) || doc.Find("details .report-beside").Length() > 0 {
			t.Errorf("%s: %d of %d stand in the open", name, shown.Length(), len(p.Beside))
		}
		for _, b := range p.Beside {
			seen[b.Head]++
			if found := symbols.FindString(b.Text); found != "" || b.Text == "" ||
				strings.Count(b.Text, ". ") > 4 {
				t.Errorf("%s: %q: %s", name, found, b.Text)
			}
		}
		people := slices.ContainsFunc(r.Findings, func(f analysis.Finding) bool {
			return f.People != nil && f.Role == analysis.Primary
		})
		if want := len(r.Ways) > 0 || r.Blinding != nil || people; want != (len(p.Beside) > 0) {
			t.Errorf("%s: beside the answer stands %+v", name, p.Beside)
		}
	}
	if seen["Does everybody shift?"] == 0 {
		t.Errorf("told: %v", seen)
	}
	s, r := inventedOf(t, "smooth-by-starch")
	r.Blinding = &analysis.Blinding{Asked: study.AskWhich, N: 48, Right: 26, Wrong: 9, Unknown: 13}
	if p := report.Build(s, r, report.Options{}); len(p.Beside) != 1 || p.Beside[0].Head != "Did the blind hold?" ||
		!strings.Contains(p.Beside[0].Text, "26 pointed to the right plate") {
		t.Errorf("guesses: %+v", p.Beside)
	}
}
