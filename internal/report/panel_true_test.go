package report_test

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// Sentences, tables and the figure of all samples together say and draw what is so.
func TestPanelsHoldOnRandomStudies(t *testing.T) {
	told := 0
	rapid.Check(t, func(t *rapid.T) {
		s, ratings := drawStudy(t)
		if len(ratings) == 0 || len(s.Samples) < 3 {
			return
		}
		r, err := analysis.Analyse(s, ratings, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		page := report.Build(s, r, report.Options{})
		panels := 0
		for _, f := range r.Findings {
			if f.Kind != analysis.KindPanel {
				continue
			}
			if f.Role == analysis.Primary {
				checkFirstLines(t, page)
			}
			checkPanelSentences(t, s, f, page.Panels[panels])
			checkPanelTables(t, s, f, page.Panels[panels])
			if f.Attribute == s.Plan.Attribute && len(f.Panel.Estimates) > 0 {
				checkPanelFigure(t, s, f, page)
				told++
			}
			panels++
		}
		if panels != len(s.Attributes) || panels != len(page.Panels) {
			t.Errorf("%d findings on all samples, %d told, of %d "+
				"attributes", panels, len(page.Panels), len(s.Attributes))
		}
	})
	if told == 0 {
		t.Error("no panel was told at all")
	}
}

func checkPanelSentences(t *rapid.T, s *study.Study, f analysis.Finding, p report.Panel) {
	text := p.Said.Text
	if found := untrue.FindString(text); found != "" {
		t.Errorf("%q in %q", found, text)
	}
	var apart []analysis.PanelPair
	for _, x := range f.Panel.Pairs {
		if x.Test.PAdjusted < s.Plan.Alpha {
			apart = append(apart, x)
		}
	}
	v, some := f.Verdict, len(f.Panel.Estimates) > 0
	found := some && f.N >= 6 && f.Test.Deciding() < s.Plan.Alpha
	for claim, is := range map[string]bool{
		"are not all alike":            found,
		"No clear difference among":    some && f.N >= 6 && !found,
		"Too few to say":               some && f.N < 6,
		"Told apart":                   found && len(apart) > 0,
		"No single pair":               found && len(apart) == 0,
		"That is every pair":           found && len(apart) == len(f.Panel.Pairs) && len(apart) <= 6,
		"all are practically the same": v.Code == analysis.Alike,
		"was not ruled out either":     some && f.N >= 6 && !found && v.Margin == 0,
	} {
		if strings.Contains(text, claim) != is {
			t.Errorf("says %q: %t in %q, verdict %+v, p %g", claim, !is, text, v, f.Test.Deciding())
		}
	}
	if found && len(apart) <= 6 {
		for _, x := range apart {
			one, other := analysis.Label(s, x.First), analysis.Label(s, x.Second)
			if x.Test.Statistic < 0 {
				one, other = other, one
			}
			if !strings.Contains(text, one+" above "+other) {
				t.Errorf("%s above %s is missing in %q", one, other, text)
			}
		}
	}
}

func checkPanelTables(t *rapid.T, s *study.Study, f analysis.Finding, p report.Panel) {
	if len(p.Samples) != len(f.Panel.Estimates) || len(p.Pairs) != len(f.Panel.Pairs) {
		t.Fatalf("%d samples and %d pairs, want %d and %d", len(p.Samples), len(p.Pairs), len(f.Panel.Estimates),
			len(f.Panel.Pairs))
	}
	people := map[study.SampleID]int{}
	for _, x := range f.Panel.Each {
		people[x.Sample]++
	}
	letters := map[study.SampleID]string{}
	for _, e := range f.Panel.Estimates {
		letters[e.Sample] = e.Letters
		want := report.PanelSample{Label: analysis.Label(s, e.Sample), N: fmt.Sprint(people[e.Sample])}
		if !slices.ContainsFunc(p.Samples, func(got report.PanelSample) bool {
			return got.Label == want.Label && got.N == want.N
		}) {
			t.Errorf("no line %+v in %+v", want, p.Samples)
		}
	}
	for _, x := range f.Panel.Pairs {
		if !math.IsNaN(x.Test.PAdjusted) && (letters[x.First] == "" || letters[x.Second] == "") {
			t.Errorf("%s or %s has no letter", x.First, x.Second)
		}
		shared := strings.ContainsAny(letters[x.First], letters[x.Second])
		if letters[x.First] != "" && shared == (x.Test.PAdjusted < s.Plan.Alpha) {
			t.Errorf("%s %q and %s %q, p %g", x.First, letters[x.First], x.Second, letters[x.Second], x.Test.PAdjusted)
		}
	}
}

// checkPanelFigure: as many people at each rating as gave it, means and intervals at
// their values, the highest on top, all within the axes.
func checkPanelFigure(t *rapid.T, s *study.Study, f analysis.Finding, page report.Page) {
	i := slices.IndexFunc(page.Figures, func(x report.Figure) bool { return x.ID == "panel-"+string(f.Attribute) })
	if i < 0 {
		t.Fatal("no figure of all samples")
	}
	o := optionOf(t, page.Figures[i])
	sorted := slices.Clone(f.Panel.Estimates)
	slices.SortStableFunc(sorted, func(a, b analysis.SampleEstimate) int {
		switch {
		case a.Mean > b.Mean:
			return -1
		case a.Mean < b.Mean:
			return 1
		}
		return 0
	})
	row := map[study.SampleID]float64{}
	for k, e := range sorted {
		at := float64(3*(len(sorted)-1-k) + 1)
		row[e.Sample] = at
		if o.YAxis[0].Data[int(at)] != analysis.Label(s, e.Sample) {
			t.Errorf("row %g is named %q, want %s", at, o.YAxis[0].Data[int(at)], e.Sample)
		}
		if !slices.Contains(o.named("mean"), [2]float64{e.Mean, at}) {
			t.Errorf("no mean at %g in row %g", e.Mean, at)
		}
		if ends := o.named("interval"); !e.CI.Absent() &&
			(!slices.Contains(ends, [2]float64{e.CI.Lo, at}) || !slices.Contains(ends, [2]float64{e.CI.Hi, at})) {
			t.Errorf("no interval %v in row %g: %v", e.CI, at, ends)
		}
	}
	want, got := map[[2]float64]int{}, map[[2]float64]int{}
	for _, x := range f.Panel.Each {
		want[[2]float64{x.Value, row[x.Sample] - 1}]++
	}
	for _, line := range o.Series {
		n, err := strconv.Atoi(line.Name)
		for _, d := range line.Data {
			if !o.XAxis[0].holds(d.Value[0]) || !o.YAxis[0].holds(d.Value[1]) {
				t.Errorf("%s at %v lies beyond its axes, %v and %v", line.Name, d.Value, o.XAxis[0], o.YAxis[0])
			}
			if err == nil {
				got[d.Value] += n
			}
		}
	}
	for at, n := range want {
		if got[at] != n {
			t.Errorf("%d people are drawn at %v, want %d", got[at], at, n)
		}
	}
	if len(got) != len(want) {
		t.Errorf("drawn at %d places, want %d", len(got), len(want))
	}
}
