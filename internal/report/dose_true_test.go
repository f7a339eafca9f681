package report_test

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

var (
	withLines = regexp.MustCompile(`(?i)(\d+|one) (?:people|person), each a faint line`)
	withDots  = regexp.MustCompile(`(?i)(\d+|one) (?:people|person) without a line`)
	lineEnds  = regexp.MustCompile(`the line of all goes from (\S+) at .* to (\S+) at (?:\S+ g)`)
)

// TestDoseFigureSaysWhatIsThere: of any few or many ratings of a series, everybody is drawn
// once, the legend explains what is drawn and nothing else, and the ends of the line are
// those that its slope gives.
func TestDoseFigureSaysWhatIsThere(t *testing.T) {
	file, err := os.ReadFile("../../studies/salt-by-the-gram.yaml")
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		s, problems := study.Parse("salt.yaml", file)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		r, err := analysis.Analyse(s, drawnDoses(t, s), analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		p := report.Build(s, r, report.Options{})
		i := slices.IndexFunc(r.Findings, func(f analysis.Finding) bool { return f.Role == analysis.Primary })
		checkDose(t, r.Findings[i], p.Figures[0])
		checkFirstLines(t, p)
	})
}

// drawnDoses are whole and missing ratings of one to fourteen people.
func drawnDoses(t *rapid.T, s *study.Study) (all []analysis.Rating) {
	for i := range rapid.IntRange(1, 14).Draw(t, "people") {
		kept := 0
		for k, x := range s.Samples {
			if rapid.IntRange(0, 3).Draw(t, "missing") == 0 && (kept > 0 || k < len(s.Samples)-1) {
				continue
			}
			kept++
			for _, a := range s.Attributes {
				v := rapid.IntRange(0, 20).Draw(t, "rating") * 5
				all = append(all, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: kept, Sample: x.ID,
					Attribute: a.ID, Value: min(a.Scale.Max(), a.Scale.Min()+float64(v))})
			}
		}
	}
	return all
}

func checkDose(t *rapid.T, f analysis.Finding, fig report.Figure) {
	lines, dots := 0, 0
	for _, x := range f.Dose.Each {
		if math.IsNaN(x.Slope) {
			dots++
		} else {
			lines++
		}
	}
	if got := toldOf(withLines, fig.Alt); got != lines {
		t.Errorf("%d lines of their own, told of %d: %s", lines, got, fig.Alt)
	}
	if got := toldOf(withDots, fig.Alt); got != dots {
		t.Errorf("%d without a line, told of %d: %s", dots, got, fig.Alt)
	}
	if rows := len(fig.Data.Rows) - 3; rows != len(f.Dose.Each) {
		t.Errorf("%d people in the table, %d drawn", rows, len(f.Dose.Each))
	}
	drawn := !math.IsNaN(f.Dose.At(f.Dose.Steps[0].Amount))
	intervals := strings.Contains(string(fig.Option), `"name":"interval"`)
	for text, there := range map[string]bool{"everybody’s own line": lines > 0, "line of all": drawn,
		"ratings of who has no line of their own": dots > 0, "interval": intervals || hasInterval(f)} {
		has := slices.ContainsFunc(fig.Legend, func(l report.LegendEntry) bool {
			return strings.Contains(l.Text, text)
		})
		if has != there {
			t.Errorf("%q in the legend: %v, drawn: %v", text, has, there)
		}
	}
	if strings.Contains(string(fig.Option), `"name":"line"`) != drawn || strings.Contains(fig.Alt, "not computed") {
		t.Errorf("a line of all: %v; %s", drawn, fig.Alt)
	}
	if m := lineEnds.FindStringSubmatch(fig.Alt); (m != nil) != drawn {
		t.Errorf("a line of all: %v; %s", drawn, fig.Alt)
	} else if drawn {
		steps := f.Dose.Steps
		for k, at := range []float64{steps[0].Amount, steps[len(steps)-1].Amount} {
			said, err := strconv.ParseFloat(strings.ReplaceAll(m[k+1], "−", "-"), 64)
			if err != nil || math.Abs(said-f.Dose.At(at)) > 0.51 {
				t.Errorf("the line has %g at %g, told %q", f.Dose.At(at), at, m[k+1])
			}
		}
	}
}

// hasInterval reports whether the worth of the name is drawn with its interval.
func hasInterval(f analysis.Finding) bool {
	l := f.Dose.Laid
	return l != nil && l.Inside && l.Shape == "bounded"
}

func toldOf(pattern *regexp.Regexp, text string) int {
	m := pattern.FindStringSubmatch(text)
	if m == nil {
		return 0
	}
	if strings.EqualFold(m[1], "one") {
		return 1
	}
	n, _ := strconv.Atoi(m[1])
	return n
}
