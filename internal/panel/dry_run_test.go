package panel_test

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// TestTryIsTheAnalysisItself: what a dry run shows is what the analysis gives when
// it is called by itself.
func TestTryIsTheAnalysisItself(t *testing.T) {
	for name, file := range map[string]string{
		"usual":            rehearsed,
		"names read first": strings.Replace(rehearsed, "rinse: 30 s", "rinse: 30 s, expectation: true", 1),
		"replicates":       strings.Replace(rehearsed, "rinse: 30 s", "rinse: 30 s, replicates: 2", 1),
		"one-sided, ranks": strings.NewReplacer("sides: two", "sides: less", "paired-t",
			"signed-rank").Replace(rehearsed),
		"nothing stated":    strings.Replace(rehearsed, ", smallest effect: 5", "", 1),
		"few of many seats": strings.Replace(rehearsed, "{assessors: 12}", "{assessors: 12, sittings: 3, seats: 4}", 1),
	} {
		t.Run(name, func(t *testing.T) {
			a := askedOf(t, file)
			got, err := panel.Try(a, "an-id", analysis.GivenSpread(30), 1)
			if err != nil {
				t.Fatal(err)
			}
			again, err := panel.Try(a, "an-id", analysis.GivenSpread(30), 1)
			if err != nil || !same(got.None.Result, again.None.Result) || got.None.Often != again.None.Often {
				t.Errorf("the same draw gives something else (%v)", err)
			}
			next, err := panel.Try(a, "an-id", analysis.GivenSpread(30), 2)
			if err != nil || same(got.None.Result, next.None.Result) {
				t.Errorf("another draw gives the same (%v)", err)
			}
			if stated := a.Plan.SmallestEffect > 0; stated != (got.Smallest.Result != nil) {
				t.Errorf("a smallest effect of %g is tried: %t", a.Plan.SmallestEffect, got.Smallest.Result != nil)
			}
			for _, x := range []panel.Trial{got.None, got.Smallest} {
				if x.Result != nil {
					holdAgainstAnalysis(t, a, x)
				}
			}
			size, err := analysis.FindSize(sizingOf(t, a, 30))
			if err != nil {
				t.Fatal(err)
			}
			if got.None.Computed != a.Plan.Alpha || got.Smallest.Result != nil &&
				got.Smallest.Computed != size.Planned.Power {
				t.Errorf("computed %g and %g, want alpha %g and power %g", got.None.Computed, got.Smallest.Computed,
					a.Plan.Alpha, size.Planned.Power)
			}
		})
	}
}

func holdAgainstAnalysis(t *testing.T, a *study.Study, x panel.Trial) {
	t.Helper()
	plan, err := panel.RehearsalPlan(a, 0)
	if err != nil {
		t.Fatal(err)
	}
	d := analysis.DryRun{Study: a, Plan: plan, Spread: 30, Difference: x.Difference, Seed: panel.DrySeed("an-id", 1)}
	ratings, err := d.Ratings()
	if err != nil {
		t.Fatal(err)
	}
	expected, err := d.Expected()
	if err != nil || a.Serving.Expectation != (len(expected) > 0) {
		t.Fatalf("%d expectations, %v", len(expected), err)
	}
	want, err := analysis.Analyse(a, ratings, analysis.Options{Expected: expected})
	if err != nil {
		t.Fatal(err)
	}
	if !same(x.Result, want) || len(want.Expected) > 0 != a.Serving.Expectation {
		t.Errorf("a true difference of %g: %+v, analysed directly %+v", x.Difference, x.Result.Findings[0],
			want.Findings[0])
	}
	if often, err := d.Often(x.Often.Studies); err != nil || often != x.Often || often.Studies < 20 {
		t.Errorf("counted %+v, directly %+v, %v", x.Often, often, err)
	}
}

// same compares what was found; numbers that are none are equal.
func same(x, y *analysis.Result) bool {
	for i := range x.Findings {
		f, g := x.Findings[i], y.Findings[i]
		if f.Value != g.Value || f.Test.P != g.Test.P && !math.IsNaN(f.Test.P) ||
			!reflect.DeepEqual(f.Pair.Each, g.Pair.Each) {
			return false
		}
	}
	return len(x.Findings) == len(y.Findings)
}

func sizingOf(t *testing.T, a *study.Study, spread float64) analysis.Sizing {
	t.Helper()
	q, err := analysis.SizingOf(a)
	if err != nil {
		t.Fatal(err)
	}
	q.Spread = analysis.GivenSpread(spread)
	return q
}

func TestTrySpreadsByTheRuleOfThumb(t *testing.T) {
	got, err := panel.Try(askedOf(t, rehearsed), "an-id", analysis.Spread{}, 1)
	if want := math.Sqrt2 * 0.23 * 100; err != nil || math.Abs(got.Spread.SD-want) > 1e-9 {
		t.Errorf("spread %g, want %g (%v)", got.Spread.SD, want, err)
	}
}

func TestTryRefusesWhatDoesNotFit(t *testing.T) {
	for name, change := range map[string]func(*study.Study){
		"a huge panel": func(a *study.Study) { a.Panel.Assessors = 100_000 },
	} {
		a := *askedOf(t, rehearsed)
		change(&a)
		var notYet *panel.NotYetError
		if _, err := panel.Try(&a, "an-id", analysis.Spread{}, 1); !errors.As(err, &notYet) {
			t.Errorf("%s: %v, want a reason", name, err)
		}
	}
}

func BenchmarkTry(b *testing.B) {
	for name, file := range map[string]string{"paired-t": rehearsed,
		"signed-rank": strings.Replace(rehearsed, "paired-t", "signed-rank", 1)} {
		a, problems := study.Parse("study.yaml", []byte(file))
		if len(problems) > 0 {
			b.Fatal(problems)
		}
		wide := *a
		wide.Panel.Assessors, wide.Serving.Codes = 60, study.CodePerSample
		for _, id := range []study.SampleID{"C", "D"} {
			wide.Samples = append(wide.Samples, study.Sample{ID: id, Dish: "custard"})
		}
		for _, id := range []study.AttributeID{"b", "c", "d"} {
			x := wide.Attributes[0]
			x.ID = id
			wide.Attributes = append(wide.Attributes, x)
		}
		b.Run(name+"/60 assessors/4 samples/4 attributes", func(b *testing.B) {
			for b.Loop() {
				if _, err := panel.Try(&wide, "an-id", analysis.Spread{}, 1); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
