package analysis_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// foundOf is what a study like s, with the differences d on the attribute that
// decides, tells later ones.
func foundOf(t *testing.T, s *study.Study, title string, d ...float64) []analysis.FoundDifference {
	t.Helper()
	past := *s
	past.Title = title
	var ratings []analysis.Rating
	for i, x := range d {
		for k, v := range []float64{50 + x, 50} {
			ratings = append(ratings, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: k + 1,
				Sample: s.Plan.Compare[k], Attribute: s.Plan.Attribute, Value: v})
		}
	}
	found, err := analysis.FoundDifferences(&past, ratings, nil)
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// TestEarlierSpreadIsAnUpperLimit: squares about the means are (4+0+4) of 2 df and,
// about 4, 9+25+1+1+16 = 52 of 4 df; sqrt(6 / qchisq(0.2, 6)) = 1.397978 (R 4.2.2).
func TestEarlierSpreadIsAnUpperLimit(t *testing.T) {
	s := exampleStudy(t, "celeriac-custard")
	found := slices.Concat(foundOf(t, s, "spring", 0, 2, 4), foundOf(t, s, "autumn", 1, 9, 5, 5, 0))
	got, ok := analysis.EarlierSpread(s, found)
	want := math.Sqrt(60.0 / 6)
	if !ok || math.Abs(got.Pooled-want) > 1e-12 || math.Abs(got.SD-want*upperOf6) > 1e-5 || got.Pairs != 8 ||
		!got.Invented {
		t.Errorf("got %+v, want %g and its limit %g", got, want, want*upperOf6)
	}
	if words := got.Words().String(); words != "from “spring”, “autumn” (invented ratings): 3.16 among 8 people, of "+
		"which the upper 80 % limit is taken" {
		t.Errorf("it says %q", words)
	}
	real := *s
	real.Invented = false
	if got, ok := analysis.EarlierSpread(&real, found); ok {
		t.Errorf("invented ratings sized a real study: %+v", got)
	}
	// Half at one end and half at the other: the limit lies beyond the scale.
	if wild, _ := analysis.EarlierSpread(s, foundOf(t, s, "wild", -50, 50)); wild.SD != 100 {
		t.Errorf("a spread of %g on a scale of 100 points", wild.SD)
	}
}

const upperOf6 = 1.397978

// TestEarlierSpreadIsOfTheSameKind: nothing is borrowed from another kind of
// question, another kind of difference, another scale or another attribute.
func TestEarlierSpreadIsOfTheSameKind(t *testing.T) {
	s := exampleStudy(t, "celeriac-custard")
	i := slices.IndexFunc(s.Attributes, func(a study.Attribute) bool { return a.ID == s.Plan.Attribute })
	changed := func(change func(*study.Study, *study.Attribute)) *study.Study {
		past := *s
		past.Attributes, past.Samples = slices.Clone(s.Attributes), slices.Clone(s.Samples)
		past.Dishes = append(slices.Clone(s.Dishes), study.Dish{ID: "other"})
		change(&past, &past.Attributes[i])
		past.Plan.Attribute = past.Attributes[i].ID
		return &past
	}
	for _, tc := range []struct {
		name  string
		past  *study.Study
		tells bool
	}{
		{"the same", changed(func(*study.Study, *study.Attribute) {}), true},
		{"another id", changed(func(_ *study.Study, a *study.Attribute) { a.ID = "salt" }), true},
		{"another id, other words", changed(func(_ *study.Study, a *study.Attribute) {
			a.ID, a.Ask = "bitter", "How bitter?"
		}), false},
		{"different dishes", changed(func(p *study.Study, _ *study.Attribute) { p.Samples[1].Dish = "other" }), false},
		{"recipes", changed(func(p *study.Study, _ *study.Attribute) { p.Question = study.Rating }), false},
		{"a longer line", changed(func(_ *study.Study, a *study.Attribute) {
			a.Scale.From, a.Scale.To = 0, 150
		}), false},
		{"labels with the same ends", changed(func(_ *study.Study, a *study.Attribute) {
			a.Scale = study.Scale{Kind: study.Categories, Labels: slices.Repeat([]string{"x"}, 100)}
		}), false},
		{"one sample each", changed(func(p *study.Study, _ *study.Attribute) { p.Serving.Design = study.One }), false},
	} {
		found := foundOf(t, tc.past, "past", 1, 4, 9, 3)
		if _, ok := analysis.EarlierSpread(s, found); ok != tc.tells {
			t.Errorf("%s: told something: %t, want %t (%+v)", tc.name, ok, tc.tells, found)
		}
	}
}

// TestFewerPeopleTellALargerSpread: with the same scatter, the limit comes down as
// people are added, and never below what was found.
func TestFewerPeopleTellALargerSpread(t *testing.T) {
	s := exampleStudy(t, "celeriac-custard")
	before := math.Inf(1)
	for n := 2; n <= 256; n *= 2 {
		f := foundOf(t, s, "x", 0, 1)
		f[0].People, f[0].SD = n, 10
		got, _ := analysis.EarlierSpread(s, f)
		if got.SD < 10 || got.SD >= before {
			t.Errorf("%d people: %g, after %g", n, got.SD, before)
		}
		before = got.SD
	}
}

// TestNoPanelShowsWhatTheScaleCannot: 10 points on a scale from 1 to 9.
func TestNoPanelShowsWhatTheScaleCannot(t *testing.T) {
	q := analysis.Sizing{Test: analysis.SizedTest(study.PairedT), Difference: 10, Spread: analysis.GivenSpread(2),
		Length: 8, Assessors: 40, Places: 30}
	z, err := analysis.FindSize(q)
	if err != nil {
		t.Fatal(err)
	}
	if z.Needed.Assessors != 0 || z.Even != 0 || z.Held.Assessors != 0 || !math.IsNaN(z.Planned.Power) {
		t.Errorf("a panel is named for it: %+v, %+v, %+v", z.Needed, z.Held, z.Planned)
	}
	var codes []string
	for _, w := range z.Warnings {
		codes = append(codes, w.Code)
	}
	if !slices.Contains(codes, analysis.WarnBeyondScale) || slices.Contains(codes, analysis.WarnOutOfReach) ||
		slices.Contains(codes, analysis.WarnPanelSmall) {
		t.Errorf("warnings %v", codes)
	}
	q.Difference = 8
	if z, err := analysis.FindSize(q); err != nil || z.Needed.Assessors == 0 {
		t.Errorf("the whole scale: %+v, %v", z.Needed, err)
	}
}

// TestPowerThatFallsShortReadsLikeIt: over many panels, no power below the wish
// reads as the wish.
func TestPowerThatFallsShortReadsLikeIt(t *testing.T) {
	for _, wish := range []float64{0.8, 0.9, 0.95} {
		q := analysis.Sizing{Power: wish}
		for p := wish - 0.02; p < wish; p += 0.0003 {
			if got := q.PowerWords(p).String(); strings.HasPrefix(got, analysis.Percent(wish)) {
				t.Errorf("power %g reads %q", p, got)
			}
		}
		if got := q.PowerWords(wish).String(); got != analysis.Percent(wish) {
			t.Errorf("the wish %g reads %q", wish, got)
		}
	}
}
