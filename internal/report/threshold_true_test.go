package report_test

import (
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

var (
	countedRight = regexp.MustCompile(`(\d+) right of (?:(\d+) answers|1 answer)`)
	numbersRight = regexp.MustCompile(`k = (\d+) of (\d+);`)
	ownPoints    = regexp.MustCompile(`own thresholds of (\d+) (?:people|person)`)
	thresholdIs  = regexp.MustCompile(`from about (\S+) g of smoked salt per litre on`)
	rightAtLeast = regexp.MustCompile(`the least amount: (\d+) of`)
	wrongAtMost  = regexp.MustCompile(`the largest(?: amount)?: (\d+)`)
	falseStarted = regexp.MustCompile(`as (\d+) people gave|as (one) person gave`)
)

// TestThresholdSaysWhatIsSo: of any answers of one to sixteen people, whole or not, from all
// wrong to all right, the sentences count what was counted, name an amount only where the
// series has it and it is clear that it is tasted, and the figure draws everybody once.
func TestThresholdSaysWhatIsSo(t *testing.T) {
	file, err := os.ReadFile("../../studies/little-smoke.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse("smoke.yaml", file)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	rapid.Check(t, func(t *rapid.T) {
		r, err := analysis.Analyse(s, drawnTrays(t, s), analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		f, p := r.Findings[0], report.Build(s, r, report.Options{})
		checkThreshold(t, f, p)
		checkFirstLines(t, p)
		var b strings.Builder
		if err := report.WriteText(&b, s, r); err != nil {
			t.Fatal(err)
		}
		for _, no := range []string{"NaN", "+Inf", "%!"} {
			if text := b.String() + strings.Join(p.Verdict, " "); strings.Contains(text, no) ||
				strings.Contains(strings.Join(p.Verdict, " "), "not computed") {
				t.Errorf("%q in %s", no, text)
			}
		}
	})
}

// drawnTrays are whole and missing series of one to sixteen people who know as much as drawn.
func drawnTrays(t *rapid.T, s *study.Study) (all []analysis.Rating) {
	know := rapid.IntRange(0, 10).Draw(t, "how much they taste")
	for i := range rapid.IntRange(1, 16).Draw(t, "people") {
		for k, x := range s.Samples[1:] {
			if rapid.IntRange(0, 15).Draw(t, "missing") == 0 && (k > 0 || i > 0) {
				continue
			}
			right := know == 10 || know > 0 && rapid.IntRange(1, 9).Draw(t, "right") <= know
			for j := range 3 {
				v := analysis.Rating{Assessor: fmt.Sprint(i + 1), Turn: k + 1, Position: 3*k + j + 1,
					Sample: s.Samples[0].ID, Attribute: study.ChoiceAnswer}
				if j == 0 {
					v.Sample = x.ID
				}
				if j == 0 && right || j == 2 && !right {
					v.Value = 1
				}
				all = append(all, v)
			}
		}
	}
	return all
}

func checkThreshold(t *rapid.T, f analysis.Finding, p report.Page) {
	text, th := strings.Join(p.Verdict, " "), f.Threshold
	named := f.Verdict.Different() && th.Inside
	if m := countedRight.FindStringSubmatch(text); m != nil && m[1] != fmt.Sprint(th.Right) {
		t.Errorf("%d right: %s", th.Right, text)
	}
	if m := numbersRight.FindStringSubmatch(text); m != nil && (m[1] != fmt.Sprint(th.Right) ||
		m[2] != fmt.Sprint(th.Answers)) {
		t.Errorf("%d right of %d: %s", th.Right, th.Answers, text)
	}
	if m := thresholdIs.FindStringSubmatch(text); (m != nil) != named {
		t.Errorf("an amount is named: %v, may be: %v: %s", m != nil, named, text)
	} else if m != nil {
		if v, err := strconv.ParseFloat(m[1], 64); err != nil || v/f.Value > 1.06 || v/f.Value < 0.94 {
			t.Errorf("named %s, is %g", m[1], f.Value)
		}
	}
	if !f.Verdict.Different() {
		if strings.Contains(text, "half of the people taste it at") {
			t.Errorf("a curve's amount is named though nothing is found: %s", text)
		}
		return
	}
	for what, x := range map[*regexp.Regexp]int{rightAtLeast: th.Below, wrongAtMost: th.Above} {
		m := what.FindStringSubmatch(text)
		if (m != nil) != (x > 0) || m != nil && m[1] != fmt.Sprint(x) {
			t.Errorf("%v counts %d: %s", what, x, text)
		}
	}
	said := 0
	if m := falseStarted.FindStringSubmatch(text); m != nil && m[1] != "" {
		said, _ = strconv.Atoi(m[1])
	} else if m != nil {
		said = 1
	}
	if said != th.FalseStarts {
		t.Errorf("%d began falsely: %s", th.FalseStarts, text)
	}
	if m := ownPoints.FindStringSubmatch(p.Figures[0].Alt); m == nil || m[1] != fmt.Sprint(f.N) {
		t.Errorf("%d thresholds: %s", f.N, p.Figures[0].Alt)
	}
	if rows := len(p.Figures[0].Data.Rows) - 2; rows != len(th.Each) {
		t.Errorf("%d people in the table, %d answered", rows, len(th.Each))
	}
}
