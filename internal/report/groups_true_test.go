package report_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/report"
	"cloche/internal/study"
)

// drawGroups draws a study that gives each assessor one sample, on some scale, and what a
// few odd groups of people say: spread out, alike, or apart without scatter.
func drawGroups(t *rapid.T) (*study.Study, []analysis.Rating) {
	s := panelOf(2)
	s.Serving.Design = study.One
	s.Attributes[0].Scale = rapid.SampledFrom(scalesDrawn).Draw(t, "scale")
	s.Plan.Test = rapid.SampledFrom([]study.Test{study.WelchT, study.RankSum, study.Equivalence}).Draw(t, "test")
	s.Plan.Sides = rapid.SampledFrom([]study.Sides{study.TwoSided, study.Greater, study.Less}).Draw(t, "sides")
	scale := s.Attributes[0].Scale
	length := scale.Max() - scale.Min()
	s.Plan.SmallestEffect = length * rapid.SampledFrom([]float64{0, 0.1, 0.5}).Draw(t, "smallest effect")
	if s.Plan.Test == study.Equivalence {
		s.Plan.Sides, s.Plan.SmallestEffect = study.TwoSided, max(s.Plan.SmallestEffect, length/20)
	}
	if rapid.Bool().Draw(t, "strata") {
		s.Serving.Strata = []study.Stratum{{ID: "guest", Levels: []string{"regular", "new"}}}
	}
	kind := rapid.SampledFrom([]string{"spread", "spread", "apart", "alike", "ends"}).Draw(t, "kind")
	steps := length / scale.Step()
	var all []analysis.Rating
	for i := range rapid.IntRange(1, 60).Draw(t, "people") {
		x := rapid.IntRange(0, 1).Draw(t, "sample")
		at := 0.5
		switch kind {
		case "spread":
			at = float64(rapid.IntRange(0, 20).Draw(t, "at")) / 20
		case "ends":
			at = float64(rapid.IntRange(0, 1).Draw(t, "at"))
		case "apart":
			at = 0.25 + 0.5*float64(x)
		}
		r := analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: 1, Sample: s.Samples[x].ID, Attribute: "salt",
			Value: scale.Min() + scale.Step()*math.Round(at*steps)}
		r.Value = min(scale.Max(), r.Value)
		if len(s.Serving.Strata) > 0 {
			r.Stratum = rapid.SampledFrom([]string{"regular", "new"}).Draw(t, "stratum")
		}
		all = append(all, r)
	}
	return s, all
}

// Every sentence on two groups says what is so, and the figure draws everybody.
func TestGroupsHoldOnRandomStudies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, ratings := drawGroups(t)
		r, err := analysis.Analyse(s, ratings, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		f, p := r.Findings[0], report.Build(s, r, report.Options{})
		checkGroupWords(t, s, f, p, ratings)
		if f.Groups.Ns[0] > 0 && f.Groups.Ns[1] > 0 {
			checkGroupFigure(t, f, p)
		}
		checkGroupJSON(t, s, r)
		var text bytes.Buffer
		if err := report.WriteText(&text, s, r); err != nil || !strings.Contains(text.String(), p.Table[0].People) {
			t.Errorf("%v: the text has no %q: %s", err, p.Table[0].People, text.String())
		}
	})
}

func checkGroupWords(t *rapid.T, s *study.Study, f analysis.Finding, p report.Page, ratings []analysis.Rating) {
	verdict := strings.Join(p.Verdict, " ")
	checkFirstLines(t, p)
	text := verdict + " " + p.Asked + " " + p.Next
	if found := untrue.FindString(text); found != "" {
		t.Errorf("%q in %q", found, text)
	}
	v, few := f.Verdict, f.Verdict.Code == analysis.TooFew
	same, shift := v.Sameness, f.Measure == method.HodgesLehmannShift || f.Measure == method.HodgesLehmannWithin
	one := true // and the same rating
	for _, x := range ratings {
		one = one && x.Value == ratings[0].Value
	}
	for claim, is := range map[string]bool{
		"Too few to say":                      few,
		"the two are practically the same":    !same && v.Code == analysis.Alike || v.Code == analysis.DifferentSmall,
		"Not shown that":                      same && v.Code == analysis.Open,
		"are they practically the same?":      same,
		"No difference at all":                !few && !same && one,
		"No clear difference":                 !few && !same && !one && !v.Different(),
		"against the direction that the plan": v.Against,
		"Take one person from each group":     !few && !one,
		"It is clear that it reaches":         v.Code == analysis.DifferentAct,
		"A hint, no more.":                    f.Hint != nil,
		"this does not show that the two are": v.Code == analysis.Open && v.Margin > 0,
		"in the median": !few && shift && !one && (!same || v.Different()) &&
			!math.IsNaN(f.Value),
		"is clear that it is smaller":        v.Code == analysis.DifferentSmall,
		"moved":                              false,
		"the same people":                    false,
		"compared within 2 groups of guests": f.Test.Method == method.StratifiedT || f.Groups.Strata > 1,
	} {
		if strings.Contains(text, claim) != is {
			t.Errorf("says %q: %t in %q, verdict %+v", claim, !is, text, v)
		}
	}
	if is := same && v.Code == analysis.Alike; strings.Contains(p.Verdict[0], "are practically the same: ") != is &&
		!strings.Contains(p.Verdict[0], "Not shown") {
		t.Errorf("says that they are practically the same: %t in %q", !is, p.Verdict[0])
	}
	if share := wins(ratings); strings.Contains(verdict, "in about 5 of ten") && math.Abs(share-0.5) > 0.05+1e-9 ||
		strings.Contains(verdict, "hardly any") && share > 0.05 && share < 0.95 {
		t.Errorf("a share of %g in %q", share, verdict)
	}
}

// wins counts anew how often somebody who had A is above somebody who had B.
func wins(ratings []analysis.Rating) float64 {
	won, all := 0.0, 0.0
	for _, a := range ratings {
		for _, b := range ratings {
			if a.Sample != "A" || b.Sample != "B" {
				continue
			}
			all++
			switch {
			case a.Value > b.Value:
				won++
			case a.Value == b.Value:
				won += 0.5
			}
		}
	}
	return won / all
}

// checkGroupFigure: each person is a dot at their own rating, in the rows of their group,
// and none covers another unless the dots are as small as they get.
func checkGroupFigure(t *rapid.T, f analysis.Finding, p report.Page) {
	fig := p.Figures[0]
	o := optionOf(t, fig)
	if fig.ID != "groups" || len(fig.Data.Rows) != f.N+2 {
		t.Fatalf("figure %q with %d rows for %d people", fig.ID, len(fig.Data.Rows), f.N)
	}
	rows := [2][]float64{}
	for k, x := range f.Comparison {
		var got, want []float64
		for _, d := range o.named(string(x)) {
			got, rows[k] = append(got, d[0]), append(rows[k], d[1])
			if !o.XAxis[0].holds(d[0]) || !o.YAxis[0].holds(d[1]) {
				t.Errorf("a dot at %v lies outside", d)
			}
		}
		for _, v := range f.Groups.Each[k] {
			want = append(want, v.Value)
		}
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%s: dots at %v, ratings %v", x, got, want)
		}
		checkApart(t, o, o.named(string(x)))
	}
	if slices.Min(rows[0]) <= slices.Max(rows[1]) {
		t.Errorf("the groups stand in rows %v and %v", rows[0], rows[1])
	}
	if means := o.named("mean"); len(means) != 2 || means[0][0] != f.Groups.Means[0] ||
		means[1][0] != f.Groups.Means[1] {
		t.Errorf("means at %v, want %v", means, f.Groups.Means)
	}
	for _, end := range o.named("interval") {
		if !o.XAxis[0].holds(end[0]) {
			t.Errorf("an interval ends outside, at %v", end)
		}
	}
}

// checkApart: no two dots of a row at one place, nor nearer than the smallest dot.
func checkApart(t *rapid.T, o option, dots [][2]float64) {
	smallest := 4.0 / 165 * (o.XAxis[0].Max - o.XAxis[0].Min)
	for i, a := range dots {
		for _, b := range dots[:i] {
			if a[1] == b[1] && math.Abs(a[0]-b[0]) < smallest*(1-1e-9) {
				t.Errorf("dots at %v and %v cover each other", a, b)
			}
		}
	}
}

func checkGroupJSON(t *rapid.T, s *study.Study, r *analysis.Result) {
	var out bytes.Buffer
	if err := report.WriteJSON(&out, s, r); err != nil {
		t.Fatal(err)
	}
	var got struct{ Findings []map[string]any }
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	f := got.Findings[0]
	for _, has := range []string{"ns", "means", "sds", "difference", "estimate", "ci", "level", "test", "effect",
		"verdict"} {
		if _, ok := f[has]; !ok {
			t.Errorf("no %q in %v", has, f)
		}
	}
	for _, not := range []string{"n", "moved", "estimates", "share"} {
		if _, ok := f[not]; ok {
			t.Errorf("%q in findings on groups", not)
		}
	}
	if f["kind"] != "groups" {
		t.Errorf("kind %v", f["kind"])
	}
}

// oneEachOf gives one sample to each assessor, within regular and new guests.
func oneEachOf() *study.Study {
	s := panelOf(2)
	s.Serving.Design, s.Plan.Test = study.One, study.WelchT
	s.Serving.Strata = []study.Stratum{{ID: "guest", Levels: []string{"regular", "new"}}}
	return s
}

// groupsOf are ratings of people of one stratum who had A and of another who had B.
func groupsOf(a, b []float64, stratumA, stratumB string) (all []analysis.Rating) {
	for k, group := range [2][]float64{a, b} {
		for i, v := range group {
			all = append(all, analysis.Rating{Assessor: fmt.Sprint(100*k + i + 1), Position: 1,
				Sample: study.SampleID(rune('A' + k)), Attribute: "salt", Value: v,
				Stratum: [2]string{stratumA, stratumB}[k]})
		}
	}
	return all
}

// A report on groups in words, whole.
func TestGroupsInWords(t *testing.T) {
	s := panelOf(2)
	s.Serving.Design, s.Plan.Test, s.Plan.SmallestEffect = study.One, study.WelchT, 5
	var ratings []analysis.Rating
	for i := range 24 {
		x := i % 2
		ratings = append(ratings, analysis.Rating{Assessor: fmt.Sprint(i), Position: 1, Sample: s.Samples[x].ID,
			Attribute: "salt", Value: float64(50 + i - 20*x)})
	}
	p := report.Build(s, analyse(t, s, ratings), report.Options{})
	text := fmt.Sprintf("%s %s %s %+v", strings.Join(p.Verdict, " "), p.Asked, p.Next, p.Technical)
	for _, never := range []string{"paired", "same 0", "0 people", "signed-rank", "d_z", "Orders of serving"} {
		if strings.Contains(text, never) {
			t.Errorf("says %q: %s", never, text)
		}
	}
	for _, want := range []string{"Dish A was rated saltier than Dish B", "Take one person from each group at " +
		"random: in nearly ten",
		"Welch t test", "rated by 12 people, against Dish B, rated by 12 people, one sample each", "drawn at random"} {
		if !strings.Contains(text, want) {
			t.Errorf("does not say %q: %s", want, text)
		}
	}
}
