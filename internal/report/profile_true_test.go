package report_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

const profileFile = "../../studies/custard-profile.yaml"

func profileStudy(t rapid.TB) *study.Study {
	t.Helper()
	file, err := os.ReadFile(profileFile)
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse(profileFile, file)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return s
}

// drawnProfile are whole and missing ratings of one to twelve people, one to three of each
// sample: at random, all the same, on the ends of the scale, or of samples far apart.
func drawnProfile(t *rapid.T, s *study.Study) (all []analysis.Rating) {
	kind := rapid.SampledFrom([]string{"random", "same", "ends", "apart"}).Draw(t, "kind")
	missing := rapid.IntRange(0, 1).Draw(t, "missing")
	times := rapid.IntRange(1, 3).Draw(t, "times")
	for i := range rapid.IntRange(1, 12).Draw(t, "people") {
		position := 0
		for k, x := range s.Samples {
			for range times {
				position++
				for j, a := range s.Attributes {
					if missing == 1 && (i+j+k > 0) && rapid.IntRange(0, 5).Draw(t, "left out") == 0 {
						continue
					}
					v := 50.0
					switch kind {
					case "random":
						v = float64(rapid.IntRange(0, 100).Draw(t, "rating"))
					case "ends":
						v = 100 * float64(rapid.IntRange(0, 1).Draw(t, "end"))
					case "apart":
						v = float64(20*((k+j)%4) + rapid.IntRange(0, 15).Draw(t, "scatter"))
					}
					all = append(all, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: position, Sample: x.ID,
						Attribute: a.ID, Value: v})
				}
			}
		}
	}
	return all
}

// TestProfileSaysAndDrawsWhatIsThere: of any ratings, every person is drawn once for each
// sample and attribute, all marks lie within the axes, sentences hold what the pairs say, and
// nothing reads as a number that was not computed.
func TestProfileSaysAndDrawsWhatIsThere(t *testing.T) {
	s := profileStudy(t)
	rapid.Check(t, func(t *rapid.T) {
		r, err := analysis.Analyse(s, drawnProfile(t, s), analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		p := report.Build(s, r, report.Options{})
		checkProfileFigure(t, r, p)
		checkMapFigure(t, r, p)
		for i, x := range s.Samples {
			checkStandsOut(t, s, r, x.ID, p.Profile.Said[i])
		}
		if len(p.Profile.Panel) != len(s.Attributes) || len(p.Profile.Map) == 0 {
			t.Errorf("%d lines of the panel, %d on the map", len(p.Profile.Panel), len(p.Profile.Map))
		}
		var text bytes.Buffer
		if err := report.WriteText(&text, s, r); err != nil {
			t.Fatal(err)
		}
		part := text.String()[strings.Index(text.String(), "What each sample is like"):]
		part = part[:strings.Index(part, "All samples: ")]
		if strings.Contains(part, "NaN") || strings.Contains(part, "not computed") || strings.Contains(part, "Inf") {
			t.Errorf("the part on the profile reads:\n%s", part)
		}
	})
}

func checkProfileFigure(t *rapid.T, r *analysis.Result, p report.Page) {
	want := 0
	for _, f := range r.Findings {
		if f.Kind == analysis.KindPanel && len(f.Panel.Estimates) > 0 {
			want += len(f.Panel.Each)
		}
	}
	i := slices.IndexFunc(p.Figures, func(f report.Figure) bool { return f.ID == "profile" })
	if (i >= 0) != (want > 0) {
		t.Fatalf("%d people's means to draw, figure at %d", want, i)
	}
	if i < 0 {
		return
	}
	o := optionOf(t, p.Figures[i])
	if got := len(o.named("people")); got != want {
		t.Errorf("%d people's means are drawn of %d", got, want)
	}
	checkWithin(t, o, "people", "mean", "interval")
}

func checkWithin(t *rapid.T, o option, names ...string) {
	for _, name := range names {
		for _, at := range o.named(name) {
			if !o.XAxis[0].holds(at[0]) || !o.YAxis[0].holds(at[1]) {
				t.Errorf("%s at %v lies outside the axes", name, at)
			}
		}
	}
}

func checkMapFigure(t *rapid.T, r *analysis.Result, p report.Page) {
	i := slices.IndexFunc(p.Figures, func(f report.Figure) bool { return f.ID == "map" })
	m := r.Profile.Map
	if (i >= 0) != (m != nil) {
		t.Fatalf("a map: %v, drawn at %d", m != nil, i)
	}
	if m == nil {
		if r.Profile.NoMap.Text == "" || !strings.Contains(p.Profile.Map[0], "no map") &&
			!strings.Contains(p.Profile.Map[0], "No map") {
			t.Errorf("why there is no map: %q", p.Profile.Map[0])
		}
		return
	}
	o := optionOf(t, p.Figures[i])
	checkWithin(t, o, "sample", "ellipse", "attribute")
	if got := len(o.named("sample")); got != len(m.Samples) {
		t.Errorf("%d samples on the map of %d", got, len(m.Samples))
	}
	if got := len(o.named("attribute")); got != 3*len(m.Attributes) {
		t.Errorf("%d points of %d attributes", got, len(m.Attributes))
	}
	if v := m.Explained[0] + m.Explained[1]; v < 0 || v > 1+1e-9 {
		t.Errorf("the map holds %v of all", v)
	}
}

// checkStandsOut holds a sentence against the estimates of the model: what is said to lie
// above all others does, and is told apart from each.
func checkStandsOut(t *rapid.T, s *study.Study, r *analysis.Result, id study.SampleID, said string) {
	for _, f := range r.Findings {
		if f.Kind != analysis.KindPanel {
			continue
		}
		a, _ := s.Attribute(f.Attribute)
		want := ""
		own, apart, above, below := math.NaN(), 0, 0, 0
		for _, e := range f.Panel.Estimates {
			if e.Sample == id {
				own = e.Mean
			}
		}
		for _, e := range f.Panel.Estimates {
			if e.Sample != id && e.Mean < own {
				above++
			}
			if e.Sample != id && e.Mean > own {
				below++
			}
		}
		for _, x := range f.Panel.Pairs {
			if (x.First == id || x.Second == id) && x.Test.PAdjusted < s.Plan.Alpha {
				apart++
			}
		}
		if others := len(f.Panel.Estimates) - 1; f.Verdict.Different() && others > 0 && apart == others {
			switch others {
			case above:
				want = "higher"
			case below:
				want = "lower"
			}
		}
		got := ""
		first, second, _ := strings.Cut(said, ", and lower than every other on ")
		switch {
		case strings.Contains(second, a.Ask), strings.Contains(first, ": lower than") && strings.Contains(first, a.Ask):
			got = "lower"
		case strings.Contains(first, ": higher than") && strings.Contains(first, a.Ask):
			got = "higher"
		}
		if got != want {
			t.Errorf("%s on %q: said %q, is %q: %s", id, a.Ask, got, want, said)
		}
	}
}

// TestAssessorsAreToldWhatIsSo: everybody stands once among those with something to practise
// or those without, and every line is there for a reason.
func TestAssessorsAreToldWhatIsSo(t *testing.T) {
	s := profileStudy(t)
	rapid.Check(t, func(t *rapid.T) {
		ratings := drawnProfile(t, s)
		r, err := analysis.Analyse(s, ratings, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		c, err := analysis.CheckPanel(s, ratings, analysis.Options{}, r)
		if err != nil {
			t.Fatal(err)
		}
		a := report.AssessorsOf(s, c, report.English)
		for _, who := range c.Assessors {
			needs, lines := 0, 0
			for _, on := range who.On {
				needs += len(on.Needs)
			}
			for _, x := range a.Practise {
				if x.Assessor == who.Assessor {
					lines += len(x.Lines)
				}
			}
			if needs != lines {
				t.Errorf("assessor %s has %d to practise and is told %d", who.Assessor, needs, lines)
			}
			able := regexp.MustCompile(`\b` + who.Assessor + `\b`).MatchString(a.Able)
			if able != (needs == 0 && c.Repeats > 0) {
				t.Errorf("assessor %s of %d needs, able: %v: %s", who.Assessor, needs, able, a.Able)
			}
		}
		var text bytes.Buffer
		if err := report.WriteAssessors(&text, s, c); err != nil {
			t.Fatal(err)
		}
		if out := text.String(); strings.Contains(out, "NaN") || strings.Contains(out, "Inf") ||
			strings.Contains(out, "not computed") {
			t.Errorf("reads:\n%s", out)
		}
	})
}
