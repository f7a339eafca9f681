package report_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// expected is invented: what was expected of two names for one dish, against
// ratings that go with it or against it.
func expected(t *testing.T, sign float64) (*study.Study, *analysis.Result) {
	t.Helper()
	s := panelOf(2)
	s.Dishes[1] = s.Dishes[0]
	s.Names = []study.Name{{ID: "a", Text: "brown butter"}, {ID: "b", Text: "garden"}}
	for i := range s.Samples {
		s.Samples[i].Dish, s.Samples[i].Name = s.Dishes[0].ID, s.Names[i].ID
	}
	b := shifted(ten, -6*sign, -9*sign, -7*sign, -8*sign)
	var list []analysis.Expectation
	for i := range ten {
		for _, n := range []struct {
			id    study.NameID
			value float64
		}{{"a", 80 + float64(i)}, {"b", 30 + float64(i*i%7)}} {
			list = append(list, analysis.Expectation{Assessor: fmt.Sprint(i + 1), Name: n.id, Attribute: "salt",
				Value: n.value})
		}
	}
	r, err := analysis.Analyse(s, paired(ten, b), analysis.Options{PlanHash: "ab12", Expected: list})
	if err != nil {
		t.Fatal(err)
	}
	return s, r
}

func TestExpectedInWords(t *testing.T) {
	for name, tc := range map[string]struct {
		sign float64
		want string
	}{"went with it": {1, "the ratings differed the same way."}, "went against it": {-1,
		"the ratings differed the other way."}} {
		t.Run(name, func(t *testing.T) {
			s, r := expected(t, tc.sign)
			p := report.Build(s, r, report.Options{})
			if len(p.Expected.Said) != 3 || len(p.Expected.Table) != 3 || len(p.Table) != 1 {
				t.Fatalf("%d sentences, %d rows beside %d", len(p.Expected.Said), len(p.Expected.Table), len(p.Table))
			}
			first := p.Expected.Said[0].Text
			if !strings.HasPrefix(first, "Before tasting, “brown butter” was expected to be saltier than “garden”: "+
				"+") || !strings.Contains(first, tc.want) {
				t.Errorf("said %q", first)
			}
			if got := p.Expected.Said[1].Text; !strings.HasPrefix(got,
				"Brown butter: more was expected than was found on “How salty is it?”: expected 8") {
				t.Errorf("said %q", got)
			}
			var text, html bytes.Buffer
			must(t, report.WriteText(&text, s, r))
			must(t, report.WriteHTML(&html, p))
			for what, out := range map[string]string{"text": text.String(), "html": html.String()} {
				for _, want := range []string{"Expected before tasting", "xploratory", tc.want, "p is not adjusted",
					"cited from memory"} {
					if want == "cited from memory" && what == "text" {
						continue // methods stand on the page alone
					}
					if !strings.Contains(out, want) {
						t.Errorf("%s does not say %q", what, want)
					}
				}
			}
			if !strings.Contains(text.String(), "A, expected − rated (exploratory)") {
				t.Errorf("the technical part lacks what was expected:\n%s", text.String())
			}
		})
	}
}

func TestExpectedInJSON(t *testing.T) {
	s, r := expected(t, 1)
	var out bytes.Buffer
	must(t, report.WriteJSON(&out, s, r))
	var got struct {
		Findings []struct{ Role string }
		Expected []struct {
			Kind, Sample, Role string
			Comparison         [2]string
			Means              map[string]float64
			Test               struct {
				P         float64
				PAdjusted *float64 `json:"p_adjusted"`
			}
		}
	}
	must(t, json.Unmarshal(out.Bytes(), &got))
	if len(got.Findings) != 1 || len(got.Expected) != 3 {
		t.Fatalf("%d findings and %d of what was expected", len(got.Findings), len(got.Expected))
	}
	pair, met := got.Expected[0], got.Expected[2]
	if pair.Kind != "expected" || pair.Sample != "" || pair.Comparison != [2]string{"A", "B"} ||
		pair.Role != "exploratory" || pair.Test.PAdjusted != nil || pair.Means["A"] != 84.5 {
		t.Errorf("of the names: %+v", pair)
	}
	if met.Kind != "expected-minus-rated" || met.Sample != "B" || met.Comparison != [2]string{"expected", "rated"} ||
		len(met.Means) != 2 {
		t.Errorf("of a sample: %+v", met)
	}
	custardStudy, plain := custard(t)
	out.Reset()
	must(t, report.WriteJSON(&out, custardStudy, plain))
	if strings.Contains(out.String(), `"expected"`) {
		t.Error("a study without it has a list of what was expected")
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
