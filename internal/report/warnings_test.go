package report_test

import (
	"bytes"
	"cmp"
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/stats"
	"cloche/internal/study"
)

var (
	ten  = []float64{50, 61, 55, 70, 44, 58, 66, 47, 52, 63}
	near = []float64{48, 62, 52, 69, 45, 55, 66, 46, 50, 62}
)

func shifted(x []float64, by ...float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v + by[i%len(by)]
	}
	return out
}

// stopping is a study that was to stop at ten, by the fifth of December.
func stopping() (*study.Study, []analysis.Rating) {
	s := panelOf(2)
	s.Panel.Assessors, s.Plan.StopAfter, s.Plan.StopBy = 12, 10, "2026-12-05"
	return s, paired(ten, near)
}

// ended is how it ended instead.
var ended = map[string]*analysis.Ended{
	analysis.WarnStoppedEarly:     {Finished: 9, Sittings: 1, LastDay: "2026-12-04", Closed: "2026-12-04"},
	analysis.WarnStoppedLate:      {Finished: 10, Sittings: 2, LastDay: "2026-12-06", Closed: "2026-12-07"},
	analysis.WarnFewerThanPlanned: {Finished: 9, Sittings: 1, LastDay: "2026-12-05", Closed: "2026-12-05"},
	analysis.WarnMoreThanPlanned:  {Finished: 11, Sittings: 1, LastDay: "2026-12-05", Closed: "2026-12-05"},
}

// withWarning makes a study and ratings in which a warning is due.
var withWarning = map[string]func() (*study.Study, []analysis.Rating){
	analysis.WarnInvented: func() (*study.Study, []analysis.Rating) {
		s := panelOf(2)
		s.Invented = true
		return s, paired(ten, near)
	},
	analysis.WarnNotLocked: func() (*study.Study, []analysis.Rating) { return panelOf(2), paired(ten, near) },
	analysis.WarnNotAdjusted: func() (*study.Study, []analysis.Rating) {
		s := panelOf(3)
		s.Plan.Adjust = study.NoAdjustment
		return s, paired(ten, near)
	},
	analysis.WarnNoPairs: func() (*study.Study, []analysis.Rating) {
		return panelOf(2), []analysis.Rating{{Assessor: "1", Position: 1, Sample: "A", Attribute: "salt", Value: 5}}
	},
	analysis.WarnFewPairs: func() (*study.Study, []analysis.Rating) { return panelOf(2), paired(ten[:5], near[:5]) },
	analysis.WarnIncomplete: func() (*study.Study, []analysis.Rating) {
		return panelOf(2), append(paired(ten, near),
			analysis.Rating{Assessor: "99", Position: 1, Sample: "A", Attribute: "salt", Value: 5})
	},
	analysis.WarnNotSetDown: func() (*study.Study, []analysis.Rating) {
		ratings := paired(ten, near)
		ratings[0].NotSetDown = true
		return panelOf(2), ratings
	},
	analysis.WarnBlindBroken: func() (*study.Study, []analysis.Rating) {
		ratings := paired(ten, near)
		ratings[3].Revealed = true
		return panelOf(2), ratings
	},
	analysis.WarnPlanChanged: func() (*study.Study, []analysis.Rating) { return panelOf(2), paired(ten, near) },
	analysis.WarnAfterClose:  func() (*study.Study, []analysis.Rating) { return panelOf(2), paired(ten, near) },
	analysis.WarnRevised:     func() (*study.Study, []analysis.Rating) { return panelOf(2), paired(ten, near) },
	analysis.WarnUnscreened: func() (*study.Study, []analysis.Rating) {
		s := panelOf(2)
		s.Panel.Screening = []study.Screen{{ID: "senses", Ask: "A cold?", LeavesOut: study.Yes}}
		return s, paired(ten, near)
	},
	analysis.WarnStoppedEarly:     stopping,
	analysis.WarnStoppedLate:      stopping,
	analysis.WarnFewerThanPlanned: stopping,
	analysis.WarnMoreThanPlanned:  stopping,
	analysis.WarnReplicates: func() (*study.Study, []analysis.Rating) {
		again := atPositions(paired(ten, near), 3, 4)
		return panelOf(2), append(paired(near, ten), again...)
	},
	analysis.WarnReplicatesModel: func() (*study.Study, []analysis.Rating) {
		s, all := threeSamples([][]int{{1, 2, 3}, {2, 3, 1}, {3, 1, 2}}, 3)
		again := slices.Clone(all)
		for i := range again {
			again[i].Position += 3
			again[i].Value += float64(i * i % 5)
		}
		return s, append(all, again...)
	},
	analysis.WarnSkewed: func() (*study.Study, []analysis.Rating) {
		return panelOf(2), paired(shifted(ten, 0, 1, 2, 1, 2, 0, 1, 2, 1, 30), ten)
	},
	analysis.WarnTestsDisagree: func() (*study.Study, []analysis.Rating) {
		return panelOf(2), paired(shifted(ten, 2, 1, 3, 2, 1, 2, 3, 1, 2, 33), ten)
	},
	analysis.WarnSignInstead: func() (*study.Study, []analysis.Rating) {
		return panelOf(2), paired(shifted(ten, 3), ten)
	},
	analysis.WarnRanksInstead: func() (*study.Study, []analysis.Rating) {
		return oneEachOf(), groupsOf([]float64{40, 40, 40, 40}, []float64{60, 60, 60, 60}, "", "")
	},
	analysis.WarnStrataOpen: func() (*study.Study, []analysis.Rating) {
		return oneEachOf(), groupsOf(ten, shifted(ten, 3, 1), "", "")
	},
	analysis.WarnSittingsOpen: func() (*study.Study, []analysis.Rating) {
		s, all := threeSamples([][]int{{1, 2, 3}, {2, 3, 1}, {3, 1, 2}}, 3)
		for i := range all {
			all[i].Sitting = 1 + i/3
		}
		return s, all
	},
	analysis.WarnStrataApart: func() (*study.Study, []analysis.Rating) {
		return oneEachOf(), groupsOf(ten, shifted(ten, 3, 1), "regular", "new")
	},
	analysis.WarnOrderPart: func() (*study.Study, []analysis.Rating) {
		var ratings []analysis.Rating // A comes first, B and C change places
		for i, v := range ten {
			for sample, x := range map[study.SampleID]struct {
				at int
				by float64
			}{"A": {1, 0}, "B": {2 + i%2, near[i] / 9}, "C": {3 - i%2, near[9-i] / 7}} {
				ratings = append(ratings, analysis.Rating{Assessor: strconv.Itoa(i), Position: x.at, Sample: sample,
					Attribute: "salt", Value: v + x.by})
			}
		}
		return panelOf(3), ratings
	},
	analysis.WarnOneSided: func() (*study.Study, []analysis.Rating) {
		s := panelOf(2)
		s.Plan.Sides = study.Greater
		return s, paired(ten, near)
	},
	analysis.WarnFloor: func() (*study.Study, []analysis.Rating) {
		return panelOf(2), paired([]float64{0, 0, 0, 12, 4, 7, 9, 3}, []float64{5, 9, 2, 10, 8, 1, 3, 7})
	},
	analysis.WarnCeiling: func() (*study.Study, []analysis.Rating) {
		return panelOf(2), paired([]float64{100, 100, 100, 88, 96, 91, 90, 97},
			[]float64{95, 91, 98, 90, 92, 99, 97, 93})
	},
	analysis.WarnOrderEffect: func() (*study.Study, []analysis.Rating) {
		return panelOf(2), paired(shifted(ten, 6, -6, 7, -5, 6, -7, 5, -6, 8, -6), ten)
	},
	analysis.WarnCarryOver: func() (*study.Study, []analysis.Rating) {
		return panelOf(2), paired([]float64{30, 71, 32, 74, 31, 69, 35, 77}, []float64{33, 70, 30, 76, 35, 72, 31, 70})
	},
	analysis.WarnOrderUnknown: func() (*study.Study, []analysis.Rating) {
		return panelOf(2), atPositions(paired(ten, near), 0, 0)
	},
	analysis.WarnOrderOpen: func() (*study.Study, []analysis.Rating) {
		return panelOf(2), atPositions(paired(ten, near), 1, 2)
	},
	analysis.WarnPositions: func() (*study.Study, []analysis.Rating) {
		return panelOf(2), atPositions(paired(ten, near), 1, 2)
	},
	analysis.WarnTooSmall: func() (*study.Study, []analysis.Rating) {
		s := panelOf(2)
		s.Plan.SmallestEffect = 20
		return s, paired(ten, near)
	},
	analysis.WarnSmallestOpen: func() (*study.Study, []analysis.Rating) {
		s := panelOf(2)
		s.Plan.SmallestEffect = 3
		return s, paired(shifted(ten, -20, 20, 15, -15, 8, -9), ten)
	},
	stats.WarnTies:     func() (*study.Study, []analysis.Rating) { return panelOf(2), paired(ten, near) },
	stats.WarnTooFew:   func() (*study.Study, []analysis.Rating) { return panelOf(2), paired(ten[:1], near[:1]) },
	stats.WarnConstant: func() (*study.Study, []analysis.Rating) { return panelOf(2), paired(shifted(ten, 3), ten) },
	stats.WarnAllSame:  func() (*study.Study, []analysis.Rating) { return panelOf(2), paired(ten, ten) },
	stats.WarnNoCorrelation: func() (*study.Study, []analysis.Rating) {
		return panelOf(2), paired(shifted(make([]float64, 10), 50), ten)
	},
	analysis.WarnCarryOpen: func() (*study.Study, []analysis.Rating) { return threeSamples([][]int{{1, 2, 3}}, 3) },
	analysis.WarnPanelPart: func() (*study.Study, []analysis.Rating) {
		s, all := threeSamples([][]int{{1, 2, 3}, {2, 3, 1}, {3, 1, 2}, {3, 2, 1}, {1, 3, 2}, {2, 1, 3}}, 3)
		return s, all[1:]
	},
	stats.WarnLevelNotMet: func() (*study.Study, []analysis.Rating) { return panelOf(2), paired(ten[:4], near[:4]) },
	stats.WarnApproximate: func() (*study.Study, []analysis.Rating) {
		a, b := make([]float64, 320), make([]float64, 320)
		for i := range a {
			a[i], b[i] = float64(i%97), float64((i*31+7)%89)
		}
		return panelOf(2), paired(a, b)
	},
}

// threeSamples are twelve people who taste the samples at the positions of one row
// after the other.
func threeSamples(rows [][]int, k int) (*study.Study, []analysis.Rating) {
	s := panelOf(k)
	var all []analysis.Rating
	for i := range 12 {
		for x, at := range rows[i%len(rows)] {
			all = append(all, analysis.Rating{Assessor: strconv.Itoa(i), Position: at, Sample: s.Samples[x].ID,
				Attribute: "salt", Value: float64((i*37+x*11+i*x*7)%90 + 5)})
		}
	}
	return s, all
}

// afterClose is what happened after the close where a warning tells of it.
var afterClose = map[string]analysis.AfterClose{
	analysis.WarnAfterClose: {Assessors: 2, Servings: 3},
	analysis.WarnRevised:    {Withdrawn: []string{"2026-11-28T10:00:00Z"}},
}

// warnConstants reads the codes that package analysis declares from its source.
func warnConstants(t *testing.T) []string {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "../analysis/warnings.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var codes []string
	ast.Inspect(file, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok || len(spec.Values) != 1 || !strings.HasPrefix(spec.Names[0].Name, "Warn") {
			return true
		}
		code, err := strconv.Unquote(spec.Values[0].(*ast.BasicLit).Value)
		if err != nil {
			t.Fatal(err)
		}
		codes = append(codes, code)
		return true
	})
	if len(codes) < 10 {
		t.Fatalf("found only %d codes in the source", len(codes))
	}
	return codes
}

func TestEveryWarningCodeHasAScenario(t *testing.T) {
	for _, code := range warnConstants(t) {
		if withWarning[code] == nil {
			t.Errorf("no scenario makes %q appear", code)
		}
	}
}

func TestEveryRenderingShowsEveryWarning(t *testing.T) {
	for code, scenario := range withWarning {
		t.Run(code, func(t *testing.T) {
			s, ratings := scenario()
			o := analysis.Options{Lottery: cmp.Or(asPlanned(code), analysis.SeededLottery(s, ratings))}
			if code == analysis.WarnPlanChanged {
				o.Versions = []analysis.Version{{Number: 1},
					{Number: 2, This: true, Reason: "the oven failed.", Before: 3}}
			}
			o.AfterClose = afterClose[code]
			o.Ended, o.Expected = ended[code], promised[code]
			r, err := analysis.Analyse(s, ratings, o)
			if err != nil {
				t.Fatal(err)
			}
			text, ok := findWarning(r, code)
			if !ok {
				t.Fatalf("does not appear; there are %v", allCodes(r))
			}
			checkJSONWarning(t, s, r, code, text)
			checkTextWarning(t, s, r, code, text)
			checkHTMLWarning(t, s, r, code, text)
		})
	}
}

func findWarning(r *analysis.Result, code string) (string, bool) {
	for _, w := range allWarnings(r) {
		if w.Code == code {
			return w.Text, true
		}
	}
	return "", false
}

func allWarnings(r *analysis.Result) []analysis.Warning {
	all := append([]analysis.Warning{}, r.Warnings...)
	for _, f := range r.Findings {
		all = append(all, f.Warnings...)
	}
	for _, w := range r.Ways {
		all = append(all, w.Warnings...)
	}
	return all
}

func allCodes(r *analysis.Result) []string {
	var codes []string
	for _, w := range allWarnings(r) {
		codes = append(codes, w.Code)
	}
	return codes
}

// sentence is how the pages write a warning; its first letter is a capital.
func sentence(text string) string { return text[1:] + "." }

func checkJSONWarning(t *testing.T, s *study.Study, r *analysis.Result, code, text string) {
	t.Helper()
	var out bytes.Buffer
	if err := report.WriteJSON(&out, s, r); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Warnings []struct{ Code, Text string }
		Findings []struct{ Warnings []struct{ Code, Text string } }
		Ways     []struct{ Warnings []struct{ Code, Text string } }
	}
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	for _, f := range append(got.Findings, got.Ways...) {
		got.Warnings = append(got.Warnings, f.Warnings...)
	}
	for _, w := range got.Warnings {
		if w.Code == code && w.Text == text {
			return
		}
	}
	t.Errorf("JSON lacks %q", code)
}

func checkTextWarning(t *testing.T, s *study.Study, r *analysis.Result, code, text string) {
	t.Helper()
	var out bytes.Buffer
	if err := report.WriteText(&out, s, r); err != nil {
		t.Fatal(err)
	}
	if code == analysis.WarnInvented {
		text = "_INVENTED DATA: made up to show how the program works"
	}
	if !strings.Contains(out.String(), sentence(text)) {
		t.Errorf("text lacks %q:\n%s", text, out.String())
	}
}

func checkHTMLWarning(t *testing.T, s *study.Study, r *analysis.Result, code, text string) {
	t.Helper()
	doc := render(t, s, r)
	at := doc.Find(`[data-code="` + code + `"]`)
	if at.Length() == 0 {
		t.Fatalf("page lacks %q", code)
	}
	if code != analysis.WarnInvented && !strings.Contains(at.Text(), sentence(text)) {
		t.Errorf("page says %q, want %q", at.Text(), text)
	}
	id, footnote := at.First().Attr("id")
	if footnote && doc.Find(`.report-findings a[href="#`+id+`"], .report-panel a[href="#`+id+`"]`).Length() == 0 {
		t.Errorf("no number in the table points to footnote %s", id)
	}
}

func render(t *testing.T, s *study.Study, r *analysis.Result) *goquery.Document {
	t.Helper()
	var out bytes.Buffer
	if err := report.WriteHTML(&out, report.Build(s, r, report.Options{})); err != nil {
		t.Fatal(err)
	}
	doc, err := goquery.NewDocumentFromReader(&out)
	if err != nil {
		t.Fatal(err)
	}
	return doc
}
