package main

import (
	"encoding/json"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"
	"golang.org/x/crypto/bcrypt"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/store"
)

// sizePages reads the size step of a study's draft.
type sizePages struct {
	t    *testing.T
	http *http.Client
	base string // of the draft
}

func newSizePages(t *testing.T, file string) sizePages {
	t.Helper()
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	kept, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "size.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { kept.Close() })
	svc, err := panel.New(t.Context(), kept, panel.Options{HashCost: bcrypt.MinCost})
	if err != nil {
		t.Fatal(err)
	}
	handler, err := server.New(svc, server.Options{Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		t.Fatal(err)
	}
	web := httptest.NewServer(handler)
	t.Cleanup(web.Close)
	const password = "four spoons in a jar"
	if err := svc.SetPassword(t.Context(), "Ines", password); err != nil {
		t.Fatal(err)
	}
	draft, err := svc.Begin(t.Context(), panel.Session{Role: panel.RoleLead}, src, "a test")
	if err != nil {
		t.Fatal(err)
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	p := sizePages{t, &http.Client{Jar: jar}, web.URL + "/studies/" + string(draft.ID)}
	signIn, err := http.NewRequestWithContext(t.Context(), http.MethodPost, web.URL+"/sign-in",
		strings.NewReader(url.Values{"password": {password}}.Encode()))
	if err != nil {
		t.Fatal(err)
	}
	signIn.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	signIn.Header.Set("Origin", web.URL)
	p.read(signIn)
	return p
}

func (p sizePages) read(r *http.Request) *goquery.Document {
	p.t.Helper()
	answer, err := p.http.Do(r)
	if err != nil {
		p.t.Fatal(err)
	}
	defer answer.Body.Close()
	doc, err := goquery.NewDocumentFromReader(answer.Body)
	if err != nil || answer.StatusCode != http.StatusOK {
		p.t.Fatalf("%s: %d, %v", r.URL, answer.StatusCode, err)
	}
	return doc
}

// step is the answer on the page of the size step.
func (p sizePages) step(typed url.Values) *goquery.Selection {
	p.t.Helper()
	typed.Set("do", "work")
	r, err := http.NewRequestWithContext(p.t.Context(), http.MethodGet, p.base+"/edit/size?"+typed.Encode(), nil)
	if err != nil {
		p.t.Fatal(err)
	}
	return p.read(r).Find("#worked-out")
}

// The builder's size step shows what “cloche power” answers: the same numbers of
// assessors, the same curve, the same cost.
func TestSizeStepEqualsTheCommand(t *testing.T) {
	const four = "../../studies/four-custards.yaml" // a hedonic scale, four samples, seats
	for _, file := range []string{custardStudy, four} {
		pages := newSizePages(t, file)
		for _, x := range [][4]string{{"0.5", "1.5", "80", "two"}, {"0.5", "11", "95", "greater"},
			{"2", "1.5", "95", "two"},
			{"2", "11", "80", "two"}, {"5", "1.5", "80", "greater"}, {"5", "11", "95", "two"}, {"5", "11", "80",
				"less"}} {
			want := powerAsJSON(t, file, "--difference", x[0], "--spread", x[1], "--power", "0."+x[2], "--sides", x[3])
			got := pages.step(url.Values{"analysis.smallest effect": {x[0]}, "spread": {x[1]}, "power": {x[2]},
				"analysis.sides": {x[3]}})
			compareSizes(t, filepath.Base(file)+" "+strings.Join(x[:], " "), got, want)
		}
	}
}

func compareSizes(t *testing.T, name string, page *goquery.Selection, want powerOut) {
	t.Helper()
	first := func(s string) string { return strings.TrimSpace(page.Find(s).First().Text()) }
	if want.Needed == nil {
		if page.Find("[data-told]").Length() != 0 {
			t.Errorf("%s: the page knows a panel and the command none", name)
		}
	} else if got := first(".counts dd"); got != fmt.Sprint(want.Needed.Assessors) {
		t.Errorf("%s: %s needed on the page, %d by the command", name, got, want.Needed.Assessors)
	}
	rows := page.Find("table.sizes tbody tr")
	if rows.Length() != len(want.Curve) || rows.Length() == 0 {
		t.Fatalf("%s: %d rows on the page, %d by the command", name, rows.Length(), len(want.Curve))
	}
	for i, p := range want.Curve {
		r := rows.Eq(i)
		detects := "none"
		if p.Detects != nil && *p.Detects <= want.Scale_length {
			detects = analysis.Points(*p.Detects)
		}
		if got, want := r.Find("th").Text()+" "+r.Find("td").Eq(0).Text()+" "+r.Find("td").Eq(1).Text(),
			fmt.Sprintf("%d %s %s", p.Assessors, analysis.Percent(p.Power), detects); got != want {
			t.Errorf("%s: row %s on the page, %s by the command", name, got, want)
		}
	}
	costs := page.Find("table.costs tbody tr")
	if got, want := costs.Last().Find("td").First().Text(), fmt.Sprint(want.Planned.Cost.Minutes_each); got != want {
		t.Errorf("%s: %s minutes on the page, %s by the command", name, got, want)
	}
}

// What a name would be found to draw stands on the size step as the command has it.
func TestWayOnTheSizeStepEqualsTheCommand(t *testing.T) {
	const file = "../../studies/promised-sweet.yaml"
	_, out, _ := runPowerArgs(file, "--spread", "14", "--format", "json")
	var want struct {
		Way struct {
			Assessors int `json:"assessors"`
			Rows      []struct {
				Gap, Named, Reach float64
				Needed            int
			} `json:"rows"`
		} `json:"share_of_the_way"`
	}
	if err := json.Unmarshal([]byte(out), &want); err != nil || len(want.Way.Rows) != 3 || want.Way.Assessors != 60 {
		t.Fatalf("%v\n%s", err, out)
	}
	page := newSizePages(t, file).step(url.Values{"spread": {"14"}})
	rows := page.Find("table.way-ahead tbody tr")
	for i, r := range want.Way.Rows {
		var cells []string
		rows.Eq(i).Children().Each(func(_ int, c *goquery.Selection) { cells = append(cells, c.Text()) })
		said := strings.NewReplacer("\u00a0", " ", "over", "more than").Replace(strings.Join(cells, " | "))
		if got, want := said, fmt.Sprintf("%s points | %s | ± %s | %d", analysis.Points(r.Gap),
			analysis.Percent(r.Named), analysis.Percent(r.Reach), r.Needed); got != want {
			t.Errorf("the page has %q, the command %q", got, want)
		}
	}
}

// How close a panel comes to a threshold stands on the size step as the command has it.
func TestThresholdOnTheSizeStepEqualsTheCommand(t *testing.T) {
	const file = "../../studies/little-smoke.yaml"
	var want struct {
		Step   float64
		Panels []struct {
			Assessors int
			OneStep   float64 `json:"factor_one_step"`
			TwoSteps  float64 `json:"factor_two_steps"`
			Cost      analysis.Cost
		}
	}
	code, out, remarks := runPowerArgs(file, "--format", "json")
	if err := json.Unmarshal([]byte(out), &want); err != nil || code != exitDone || len(want.Panels) != 2 {
		t.Fatalf("%d, %v, %s\n%s", code, err, remarks, out)
	}
	_, text, _ := runPowerArgs(file)
	page := newSizePages(t, file).step(url.Values{}).Text()
	if step := fmt.Sprintf("a factor of %s on average", factorText(want.Step)); !strings.Contains(page, step) ||
		!strings.Contains(text, step) {
		t.Errorf("%q is missing on the page or in the text:\n%s\n%s", step, page, text)
	}
	for _, x := range want.Panels {
		said := fmt.Sprintf("With %d people the interval of the group’s threshold reaches a factor of %s up and down "+
			"if they scatter by one step, and of %s if by two", x.Assessors, factorText(x.OneStep),
			factorText(x.TwoSteps))
		if !strings.Contains(page, said) {
			t.Errorf("the page lacks %q:\n%s", said, page)
		}
		row := []string{fmt.Sprint(x.Assessors), factorText(x.OneStep), factorText(x.TwoSteps),
			fmt.Sprint(x.Cost.Portions)}
		if !strings.Contains(strings.Join(strings.Fields(text), " "), strings.Join(row, " ")) {
			t.Errorf("the text lacks %q:\n%s", row, text)
		}
	}
	for _, args := range [][]string{{file, "--share", "0.3"}, {file, "--assessors", "1"}, {file, "--alpha", "0.1"},
		{file, "--assessors", "100001"}, {file, "--assessors", "5000000000000000000"}} {
		if code, _, remarks := runPowerArgs(args...); code != exitInput || !strings.Contains(remarks, "--") {
			t.Errorf("%v: exit %d, %s", args, code, remarks)
		}
	}
}
