package report_test

import (
	"bytes"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
)

// Whether asking changed the tasting is told in every rendering, and nowhere where everybody
// was asked.
func TestAskingIsTold(t *testing.T) {
	for _, tc := range []struct {
		by    float64
		asked int
		want  string
	}{
		{0, 5, "No clear sign that being asked what they expect changed the tasting on “How salty is it?”: −0.6 " +
			"points of 100 in brown butter minus"},
		{20, 5, "Being asked what they expect changed the tasting on “How salty is it?”: +19.4 points of 100"},
		{20, 1, "Too few to say whether being asked changed the tasting on “How salty is it?”: 1 asked, 9 not."},
	} {
		s := blindAndNamed()
		s.Serving.Expectation, s.Serving.AskHalf = true, true
		named := append([]float64{}, ten...)
		for i := range tc.asked {
			named[i] += tc.by
		}
		r, err := analysis.Analyse(s, paired(named, near), analysis.Options{Expected: saidBefore("a",
			shifted(near[:tc.asked], 20, 22, 19))})
		must(t, err)
		p := report.Build(s, r, report.Options{})
		if len(p.Expected.Asking) != 1 || !strings.HasPrefix(p.Expected.Asking[0].Said[0], tc.want) {
			t.Fatalf("said %v, want %q", p.Expected.Asking, tc.want)
		}
		var text, html, wire bytes.Buffer
		must(t, report.WriteText(&text, s, r))
		must(t, report.WriteHTML(&html, p))
		must(t, report.WriteJSON(&wire, s, r))
		page := strings.ReplaceAll(html.String(), "&#43;", "+")
		for what, out := range map[string]string{"text": text.String(), "html": page} {
			if !strings.Contains(out, "Did asking change the tasting?") || !strings.Contains(out, tc.want) {
				t.Errorf("%s lacks it", what)
			}
		}
		if strings.Count(wire.String(), `"ns"`) != 3 {
			t.Errorf("JSON has not three comparisons of the halves")
		}
		s.Serving.AskHalf = false
		r, err = analysis.Analyse(s, paired(named, near), analysis.Options{Expected: saidBefore("a", near[:tc.asked])})
		must(t, err)
		if p := report.Build(s, r, report.Options{}); len(p.Expected.Asking) != 0 {
			t.Error("told although no half was drawn")
		}
	}
}
