package desk_test

import (
	"net/http"
	"os"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/servertest"
)

// TestDryRunShowsTheAnalysis: the numbers on the page are those of the dry run, in
// the words of the report.
func TestDryRunShowsTheAnalysis(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(servertest.Custard)
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	v := f.Lead()
	for _, tc := range []struct {
		query string
		draw  int
		which func(panel.DryRun) panel.Trial
	}{
		{"", 1, func(d panel.DryRun) panel.Trial { return d.Smallest }},
		{"?effect=none&draw=7", 7, func(d panel.DryRun) panel.Trial { return d.None }},
	} {
		tried, err := panel.Try(stored.Spec, id, analysis.Spread{}, tc.draw)
		f.Must(err)
		p := v.Get("/studies/" + string(id) + "/dry-run" + tc.query)
		doc := p.HTML()
		want := report.Build(stored.Spec, tc.which(tried).Result, report.Options{Simulated: true})
		if got := doc.Find(".report-first").Text(); got != want.Verdict[0] {
			t.Errorf("%s: the report says %q, want %q", tc.query, got, want.Verdict[0])
		}
		rows := doc.Find(".report-findings tbody tr")
		if got := rows.First().Find("[data-label=p]").Text(); got != want.Table[0].P ||
			rows.Length() != len(want.Table) {
			t.Errorf("%s: p %q in the first of %d rows, want %q of %d", tc.query, got, rows.Length(), want.Table[0].P,
				len(want.Table))
		}
		text := doc.Find("main table.stack").Text()
		for _, x := range []string{"of 200: ", "standard error", "5.0 %, the level of the test", "the computed power"} {
			if !strings.Contains(text, x) {
				t.Errorf("%s: the summary lacks %q: %s", tc.query, x, text)
			}
		}
		if again := v.Get(p.Path + tc.query); again.Body != p.Body {
			t.Errorf("%s: the same address shows another page", tc.query)
		}
		doc.Find(".report section, .report figure, .report header").Each(func(_ int, x *goquery.Selection) {
			if x.Find(".report-simulated").Length() == 0 {
				t.Errorf("%s: part %q is not marked as simulated", tc.query, x.Find("h2").First().Text())
			}
		})
	}
	doc := v.Get("/studies/" + string(id) + "/dry-run?effect=none&spread=10&draw=9999").HTML()
	var links []string
	doc.Find("main .actions a").Each(func(_ int, x *goquery.Selection) { links = append(links, x.AttrOr("href", "")) })
	at := "/studies/" + string(id) + "/dry-run?"
	if got := strings.Join(links, " "); got != at+"effect=none&draw=1&spread=10#report "+at+
		"effect=smallest&draw=9999&spread=10#report" {
		t.Errorf("links %s", got)
	}
	if text := doc.Find("main details").First().Text(); !strings.Contains(text, "standard deviation of 10 points") {
		t.Errorf("assumed: %s", text)
	}
	for _, e := range f.Events(id) {
		if e.What != "begun" {
			t.Errorf("the log holds %q", e.What)
		}
	}
}

// TestDryRunAssumesWhatTheSizeStepDoes: a closed study that asked the same tells the
// spread, as on the size step.
func TestDryRunAssumesWhatTheSizeStepDoes(t *testing.T) {
	f := servertest.New(t)
	f.InState(servertest.Custard, panel.Closed)
	id := f.Uploaded(servertest.Custard)
	v := f.Lead()
	hint := v.Get("/studies/" + string(id) + "/edit/size").HTML().Find("fieldset:has([name=spread-from])").Text()
	doc := v.Get("/studies/" + string(id) + "/dry-run").HTML()
	assumed := doc.Find("main details").First().Text()
	_, after, _ := strings.Cut(assumed, "standard deviation of ")
	spread, _, ok := strings.Cut(after, " points")
	if !ok || !strings.Contains(assumed, "from “") || !strings.Contains(hint, spread+" points, from “") {
		t.Errorf("the size step says %q, the dry run %q", hint, assumed)
	}
	if doc.Find("main a[href='/studies/"+string(id)+"/edit/size']").Length() != 1 {
		t.Error("a panel that finds too little does not lead to its size")
	}
}

// TestDryRunIgnoresWhatMakesNoSense: an address that asks for too much shows what
// one without it shows.
func TestDryRunIgnoresWhatMakesNoSense(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(servertest.Custard)
	v := f.Lead()
	at := "/studies/" + string(id) + "/dry-run"
	want := v.Get(at).HTML().Find("main").Text()
	for _, q := range []string{"?draw=0", "?draw=-1", "?draw=10000", "?draw=x", "?spread=0", "?spread=-3",
		"?spread=NaN", "?spread=Inf", "?spread=1e300", "?spread=" + strings.Repeat("9", 5000), "?effect=%3Cscript%3E"} {
		if p := v.Get(at + q); p.Status != http.StatusOK || p.HTML().Find("main").Text() != want {
			t.Errorf("%.30s shows something else (status %d)", q, p.Status)
		}
	}
}

func TestDryRunThatCannotBe(t *testing.T) {
	f := servertest.New(t)
	v := f.Lead()
	for name, tc := range map[string]struct{ old, new, want string }{
		"nothing stated": {", smallest effect: 5", "", "states no smallest difference"},
		"a huge panel": {"{assessors: 12}", "{assessors: 20000, sittings: 365, seats: 60}",
			"too large to be simulated"},
	} {
		file := strings.Replace(servertest.Custard, tc.old, tc.new, 1)
		p := v.Get("/studies/" + string(f.Uploaded(file)) + "/dry-run")
		if text := p.HTML().Find("main").Text(); p.Status != http.StatusOK || !strings.Contains(text, tc.want) {
			t.Errorf("%s: status %d, %s", name, p.Status, text)
		}
	}
}

// TestDryRunOfAChoice: a question that is answered by choosing has none, and the page says so.
func TestDryRunOfAChoice(t *testing.T) {
	f := servertest.New(t)
	text, err := os.ReadFile("../../../studies/browned-butter.yaml")
	f.Must(err)
	got := f.Lead().Get("/studies/" + string(f.Uploaded(string(text))) + "/dry-run").HTML().Find("main").Text()
	if !strings.Contains(got, "It cannot be done for this study") || !strings.Contains(got, "in another way") {
		t.Errorf("the page says %s", got)
	}
}

// TestDryRunTellsNoKey: the dry run of a locked study holds no code, and is that of
// the draft whatever the seed of the plan.
func TestDryRunTellsNoKey(t *testing.T) {
	f := servertest.New(t)
	plain, err := f.Svc.Study(t.Context(), f.Uploaded(strings.Replace(servertest.Custard, "seed: 7", "spare codes: 5",
		1)))
	f.Must(err)
	want, err := panel.Try(plain.Spec, "an-id", analysis.Spread{}, 1)
	f.Must(err)
	for _, state := range []panel.State{panel.Locked, panel.Open} {
		id, _ := f.InState(servertest.Custard, state)
		stored, err := f.Svc.Study(t.Context(), id)
		f.Must(err)
		got, err := panel.Try(stored.Spec, "an-id", analysis.Spread{}, 1)
		f.Must(err)
		if got.None.Often != want.None.Often ||
			got.Smallest.Result.Findings[0].Value != want.Smallest.Result.Findings[0].Value {
			t.Errorf("the dry run of a study that is %s depends on its seed", state)
		}
	}
}
