package report_test

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

func TestVerdictComesFirst(t *testing.T) {
	s, r := custard(t)
	doc := render(t, s, r)
	var order []string
	doc.Find(".report-verdict, .report-figure, .report-findings, " +
		".report-technical").Each(func(_ int, x *goquery.Selection) {
		class, _ := x.Attr("class")
		order = append(order, strings.Fields(class)[0])
	})
	want := "report-verdict" + strings.Repeat(" report-figure", 4) + " report-findings report-technical"
	if got := strings.Join(order, " "); got != want {
		t.Errorf("order %s, want %s", got, want)
	}
	first := strings.TrimSpace(doc.Find(".report-first").Text())
	if want := "Called celeriac crème brûlée, the same dish was rated saltier: +5.7 points of 100."; first != want {
		t.Errorf("verdict %q, want %q", first, want)
	}
	if !strings.Contains(doc.Find(".report-invented").Text(), "Invented data") {
		t.Error("does not say that the data is invented")
	}
	s.Invented = false
	if render(t, s, r).Find(".report-invented").Length() != 0 {
		t.Error("calls real data invented")
	}
}

func TestFiguresSayTheSameInWords(t *testing.T) {
	s, r := custard(t)
	doc := render(t, s, r)
	figures := doc.Find(".report-canvas")
	if figures.Length() != 4 {
		t.Fatalf("%d figures, want 4", figures.Length())
	}
	figures.Each(func(_ int, f *goquery.Selection) {
		if role, _ := f.Attr("role"); role != "img" {
			t.Errorf("role %q", role)
		}
		for _, attribute := range []string{"aria-labelledby", "aria-describedby", "data-figure"} {
			id, _ := f.Attr(attribute)
			if text := strings.TrimSpace(doc.Find("#" + id).Text()); id == "" || text == "" {
				t.Errorf("%s = %q points to nothing", attribute, id)
			}
		}
		option, _ := f.Attr("data-figure")
		var got struct {
			Series    []struct{ Data []any }
			Animation *bool
		}
		if err := json.Unmarshal([]byte(doc.Find("#"+option).Text()), &got); err != nil {
			t.Errorf("%s: %v", option, err)
		}
		if len(got.Series) == 0 || got.Animation == nil || *got.Animation {
			t.Errorf("%s: %d series, animation %v", option, len(got.Series), got.Animation)
		}
	})
	pairs := doc.Find("#figure-pairs tbody tr")
	if pairs.Length() != 41 {
		t.Errorf("the table of pairs has %d rows, want 40 assessors and the mean", pairs.Length())
	}
}

// The service sends Content-Security-Policy default-src 'self': no style
// attribute, no handler, no script that is not data may stand in the body.
func TestBodyKeepsAStrictPolicy(t *testing.T) {
	s, r := custard(t)
	body := render(t, s, r).Find("article.report")
	body.Find("*").Each(func(_ int, x *goquery.Selection) {
		for _, a := range x.Nodes[0].Attr {
			if a.Key == "style" || strings.HasPrefix(a.Key, "on") {
				t.Errorf("<%s> has %s=%q", goquery.NodeName(x), a.Key, a.Val)
			}
		}
	})
	body.Find("script").Each(func(_ int, x *goquery.Selection) {
		if kind, _ := x.Attr("type"); kind != "application/json" {
			t.Errorf("script of type %q", kind)
		}
	})
	if n := body.Find("style").Length(); n != 0 {
		t.Errorf("%d style elements", n)
	}
}

func TestFileNeedsNoOther(t *testing.T) {
	s, r := custard(t)
	var out bytes.Buffer
	if err := report.WriteHTML(&out, report.Build(s, r, report.Options{})); err != nil {
		t.Fatal(err)
	}
	doc, err := goquery.NewDocumentFromReader(bytes.NewReader(out.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if n := doc.Find("link, img, iframe, script[src]").Length(); n != 0 {
		t.Errorf("%d elements fetch something", n)
	}
	if found := regexp.MustCompile(`(?i)@import|url\(`).FindString(doc.Find("style").Text()); found != "" {
		t.Errorf("the style refers to something outside: %s", found)
	}
	if found := regexp.MustCompile(`(?i)(src|href)=["']?(https?:|//)`).FindString(out.String()); found != "" {
		t.Errorf("refers to something outside: %s", found)
	}
}

// Words of a study stand in pages as words.
func TestHostileWordsStayWords(t *testing.T) {
	s := panelOf(2)
	const hostile = `</script><script>alert(1)</script>"'&<b onclick=x>`
	s.Title, s.Dishes[0].Title, s.Attributes[0].Ask = hostile, hostile, hostile
	ratings := paired(ten, near)
	ratings[0].Assessor, ratings[1].Assessor = hostile, hostile
	r := analyse(t, s, ratings)
	doc := render(t, s, r)
	if n := doc.Find("article script:not([type='application/json']), article b").Length(); n != 0 {
		t.Errorf("%d elements came out of the words", n)
	}
	if got := doc.Find("h1").Text(); got != hostile {
		t.Errorf("title reads %q", got)
	}
	doc.Find("article script").Each(func(_ int, x *goquery.Selection) {
		if !json.Valid([]byte(x.Text())) {
			t.Errorf("option is no JSON: %.80s", x.Text())
		}
	})
}

func TestPagesOfEmptyAndLargeResults(t *testing.T) {
	big := panelOf(6)
	var ratings []analysis.Rating
	for i, x := range big.Samples {
		for _, r := range paired(ten, near)[:10] {
			r.Sample, r.Position = x.ID, i+1
			if r.Value += float64(i); r.Assessor != "" {
				ratings = append(ratings, r)
			}
		}
	}
	ratings = dedupe(ratings)
	for _, tc := range []struct {
		name    string
		s       *study.Study
		ratings []analysis.Rating
		figures int
		rows    int
	}{
		{"nobody rated both", panelOf(2), paired(ten, near)[:1], 0, 1},
		{"one pair", panelOf(2), paired(ten[:1], near[:1]), 2, 1},
		{"all alike", panelOf(2), paired(ten, ten), 2, 1},
		{"six samples", big, ratings, 3, 15},
	} {
		t.Run(tc.name, func(t *testing.T) {
			doc := render(t, tc.s, analyse(t, tc.s, tc.ratings))
			if n := doc.Find(".report-canvas").Length(); n != tc.figures {
				t.Errorf("%d figures, want %d", n, tc.figures)
			}
			if n := doc.Find("section:not(.report-panel) > .report-findings tbody tr").Length(); n != tc.rows {
				t.Errorf("%d rows, want %d", n, tc.rows)
			}
			if text := doc.Find("article").Text(); strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
				t.Error("a number that could not be computed is shown as NaN or Inf")
			}
			if doc.Find(".report-verdict").Text() == "" {
				t.Error("no verdict")
			}
		})
	}
}

func dedupe(ratings []analysis.Rating) []analysis.Rating {
	seen := map[[2]string]bool{}
	var out []analysis.Rating
	for _, r := range ratings {
		k := [2]string{r.Assessor, string(r.Sample)}
		if !seen[k] {
			seen[k] = true
			out = append(out, r)
		}
	}
	return out
}

func TestRunningNotesAndExclusionsAreShown(t *testing.T) {
	s := panelOf(2)
	r, err := analysis.Analyse(s, paired(ten, near), analysis.Options{PlanHash: "feed",
		Excluded: []analysis.Exclusion{{Reason: "withdrew consent", Count: 2}}})
	if err != nil {
		t.Fatal(err)
	}
	page := report.Build(s, r, report.Options{Notes: []string{"The blind was broken for one serving: allergic " +
		"reaction."}})
	var out bytes.Buffer
	if err := report.WriteHTML(&out, page); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"The blind was broken for one serving", "2: withdrew consent", "feed"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("page lacks %q", want)
		}
	}
}
