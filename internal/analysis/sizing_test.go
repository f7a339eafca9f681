package analysis_test

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// sizeEntry is a reference entry of power: grids of the t tests, one case of the
// binomial test. Each carries its source in the file.
type sizeEntry struct {
	ID, Method string
	Inputs     struct {
		P0, P1, Alpha, Power float64
		Alternative          string
	}
	Expected struct {
		Grid []struct {
			D, Alpha, Power, Power_at_n float64
			N                           int
			Alternative                 string
		}
		N_first, N_safe                   *int
		Power_at_n_first, Power_at_n_safe float64
	}
}

func sizeEntries(t *testing.T, method string) []sizeEntry {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/reference/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Entries []json.RawMessage }
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	var found []sizeEntry
	for _, r := range file.Entries {
		var head struct{ Method string }
		if err := json.Unmarshal(r, &head); err != nil {
			t.Fatal(err)
		}
		if head.Method != method {
			continue
		}
		var e sizeEntry
		if err := json.Unmarshal(r, &e); err != nil {
			t.Fatal(err)
		}
		found = append(found, e)
	}
	if len(found) == 0 {
		t.Fatalf("no reference entry of %s", method)
	}
	return found
}

func sidesOf(alternative string) study.Sides {
	if alternative == "two.sided" {
		return study.TwoSided
	}
	return study.Greater
}

func findSize(t *testing.T, q analysis.Sizing) *analysis.Size {
	t.Helper()
	z, err := analysis.FindSize(q)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

func relative(got, want float64) float64 { return math.Abs(got-want) / math.Abs(want) }

// The spread is 8 points throughout, so that a slip in standardising shows.
func TestSizeEqualsTheReferenceOfT(t *testing.T) {
	for _, tc := range []struct {
		method string
		test   analysis.SizedTest
		groups int
	}{{"t_paired", "paired-t", 1}, {"t_two_sample", "welch-t", 2}} {
		for _, g := range sizeEntries(t, "power_"+tc.method)[0].Expected.Grid {
			z := findSize(t, analysis.Sizing{Test: tc.test, Sides: sidesOf(g.Alternative), Alpha: g.Alpha,
				Difference: 8 * g.D,
				Spread:     analysis.GivenSpread(8), Assessors: tc.groups * g.N})
			if relative(z.Planned.Power, g.Power) > 1e-8 || z.Planned.Comparisons != g.N {
				t.Errorf("%s %+v: power %v with %d comparisons", tc.test, g, z.Planned.Power, z.Planned.Comparisons)
			}
		}
		for _, g := range sizeEntries(t, "sample_size_"+tc.method)[0].Expected.Grid {
			z := findSize(t, analysis.Sizing{Test: tc.test, Sides: sidesOf(g.Alternative), Alpha: g.Alpha,
				Power: g.Power, Difference: 8 * g.D, Spread: analysis.GivenSpread(8)})
			if z.Needed.Comparisons != g.N || z.Needed.Assessors != tc.groups*g.N ||
				relative(z.Needed.Power, g.Power_at_n) > 1e-8 {
				t.Errorf("%s %+v: needed %+v", tc.test, g, z.Needed)
			}
		}
	}
}

// Exact binomial; difference tests know only chances of a half and a third.
func TestSizeEqualsTheReferenceOfDifferenceTests(t *testing.T) {
	compared := 0
	for _, e := range sizeEntries(t, "power_binomial_exact") {
		in := e.Inputs
		test := analysis.SizedTest("duo-trio")
		if math.Abs(in.P0-1./3) < 1e-9 {
			test = "triangle"
		} else if in.P0 != 0.5 {
			continue
		}
		if in.Alternative == "less" || e.Expected.N_first == nil || e.Expected.N_safe == nil {
			continue
		}
		compared++
		z := findSize(t, analysis.Sizing{Test: test, Sides: sidesOf(in.Alternative), Alpha: in.Alpha, Power: in.Power,
			Share: (in.P1 - in.P0) / (1 - in.P0)})
		first := z.First
		if first.Assessors == 0 {
			first = z.Needed
		}
		if z.Needed.Assessors != *e.Expected.N_safe || first.Assessors != *e.Expected.N_first {
			t.Errorf("%s: needed %d, first %d; want %d, %d", e.ID, z.Needed.Assessors, first.Assessors,
				*e.Expected.N_safe, *e.Expected.N_first)
		}
		if relative(z.Needed.Power, e.Expected.Power_at_n_safe) > 1e-8 ||
			relative(first.Power, e.Expected.Power_at_n_first) > 1e-8 {
			t.Errorf("%s: powers %v and %v", e.ID, z.Needed.Power, first.Power)
		}
	}
	if compared < 8 {
		t.Errorf("only %d entries compared", compared)
	}
}

func TestSizeEqualsOtherSources(t *testing.T) {
	z := findSize(t, analysis.Sizing{Test: analysis.Equivalence, Difference: 5, Spread: analysis.GivenSpread(10),
		Assessors: 40})
	if relative(z.Planned.Power, 0.85621176246623) > 1e-8 {
		t.Errorf("equivalence of 40: %v, want 0.85621176246623 (R 4.2.2, integrate() over the chi density)",
			z.Planned.Power)
	}
	z = findSize(t, analysis.Sizing{Test: "triangle", Share: 0.3, Power: 0.95})
	if z.Needed.Assessors <= 73 {
		t.Errorf("a two-sided triangle needs more than the 73 of a one-sided one, got %d", z.Needed.Assessors)
	}
	z = findSize(t, analysis.Sizing{Test: "triangle", Sides: study.Greater, Share: 0.3, Power: 0.95})
	if z.First.Assessors != 66 || z.Needed.Assessors != 73 {
		t.Errorf("triangle: %d and %d, want 66 (ISO 4120 table A.3, from memory) and 73", z.First.Assessors,
			z.Needed.Assessors)
	}
	rule := analysis.RuleOfThumb("paired-t", 8)
	if math.Abs(rule.SD-1.84*math.Sqrt2) > 1e-12 {
		t.Errorf("rule of thumb on 1 to 9: %v, want 1.84·√2 (Hough et al. 2006, from memory)", rule.SD)
	}
	z = findSize(t, analysis.Sizing{Test: "paired-t", Difference: 0.8, Power: 0.9, Spread: rule})
	// 112 by the normal distribution is the published figure, which the t makes 113 or 114.
	if z.Needed.Assessors < 113 || z.Needed.Assessors > 114 {
		t.Errorf("a tenth of the scale with 90 %% power: %d, want 113 or 114 (Hough et al. 2006: 112, from memory)",
			z.Needed.Assessors)
	}
	// 33.3671 pairs and 63.7656 a group for the t tests (testdata/reference), over 3/π.
	for test, want := range map[analysis.SizedTest]int{"signed-rank": 35, "rank-sum": 67} {
		z = findSize(t, analysis.Sizing{Test: test, Difference: 5, Spread: analysis.GivenSpread(10)})
		if z.Needed.Comparisons != want {
			t.Errorf("%s: %d, want %d", test, z.Needed.Comparisons, want)
		}
	}
	per, err := analysis.SpreadOfRatings("paired-t", 10, 0.5)
	if err != nil || math.Abs(per.SD-10) > 1e-12 {
		t.Errorf("10 a rating, correlation 0.5: %v, %v; want 10 (variance of a difference)", per.SD, err)
	}
}

// What is detected with the power wished for has that power.
func TestSizeIsConsistent(t *testing.T) {
	for _, q := range []analysis.Sizing{
		{Test: "paired-t"}, {Test: "paired-t", Sides: study.Greater}, {Test: "signed-rank", Alpha: 0.01},
		{Test: "welch-t"},
		{Test: "rank-sum", Power: 0.9}, {Test: analysis.Equivalence},
		{Test: "signed-rank", Each: analysis.Part{Count: 6, Of: 20}},
	} {
		q.Spread, q.Difference, q.Assessors = analysis.GivenSpread(12), 6, 60
		z := findSize(t, q)
		again := q
		again.Difference, again.Assessors = z.Planned.Detects, 60
		if p := findSize(t, again).Planned.Power; math.Abs(p-z.Request.Power) > 1e-6 {
			t.Errorf("%s: the difference detected, %v, has power %v", q.Test, z.Planned.Detects, p)
		}
		if q.Assessors = z.Needed.Assessors - 1; findSize(t, q).Planned.Power >= z.Request.Power {
			t.Errorf("%s: %d are said to be needed and one fewer will do", q.Test, z.Needed.Assessors)
		}
		for i := 1; i < len(z.Curve); i++ {
			if z.Curve[i].Assessors <= z.Curve[i-1].Assessors || q.Test != analysis.Equivalence &&
				z.Curve[i].Power < z.Curve[i-1].Power-1e-12 {
				t.Errorf("%s: the curve falls or goes back at %+v", q.Test, z.Curve[i])
			}
		}
		if len(z.Curve) < 8 || len(z.Curve) > 30 || !slices.ContainsFunc(z.Curve, func(p analysis.PanelPower) bool {
			return p.Assessors == z.Needed.Assessors && p.Power == z.Needed.Power
		}) {
			t.Errorf("%s: curve of %d points without the panel needed, or none of a sensible length", q.Test,
				len(z.Curve))
		}
	}
}

func TestSizeWarnings(t *testing.T) {
	ratings := func(change func(*analysis.Sizing)) analysis.Sizing {
		q := analysis.Sizing{Test: "paired-t", Difference: 5, Spread: analysis.GivenSpread(10), Length: 100}
		change(&q)
		return q
	}
	tests := []struct {
		name string
		q    analysis.Sizing
		want []string
	}{
		{"nothing to say", ratings(func(*analysis.Sizing) {}), nil},
		{"rule of thumb", ratings(func(q *analysis.Sizing) { q.Spread = analysis.RuleOfThumb("paired-t", 100) }),
			[]string{"spread-guessed"}},
		{"ranks", ratings(func(q *analysis.Sizing) { q.Test = "signed-rank" }), []string{"ranks-by-efficiency"}},
		{"two groups", ratings(func(q *analysis.Sizing) { q.Test = "welch-t" }), []string{"equal-spreads-assumed"}},
		{"beyond the scale", ratings(func(q *analysis.Sizing) { q.Difference = 101 }),
			[]string{"difference-beyond-scale"}},
		{"no difference", ratings(func(q *analysis.Sizing) { q.Difference = 0 }), []string{"difference-not-stated"}},
		{"too few for ranks", ratings(func(q *analysis.Sizing) { q.Test, q.Assessors = "signed-rank", 5 }),
			[]string{"panel-cannot-reject", "ranks-by-efficiency"}},
		{"too few of a group", ratings(func(q *analysis.Sizing) { q.Test, q.Assessors = "rank-sum", 7 }),
			[]string{"panel-cannot-reject", "ranks-by-efficiency", "equal-spreads-assumed"}},
		{"small panel", ratings(func(q *analysis.Sizing) { q.Assessors = 20 }), []string{"panel-too-small"}},
		{"few seats", ratings(func(q *analysis.Sizing) { q.Places = 20 }), []string{"seats-too-few"}},
		{"replicates", ratings(func(q *analysis.Sizing) { q.Replicates = 2 }), []string{"replicates-not-counted",
			"people-differ-chance"}},
		{"one side", ratings(func(q *analysis.Sizing) { q.Sides = study.Less }), []string{"one-sided-test"}},
		{"out of reach", ratings(func(q *analysis.Sizing) { q.Difference = 0.01 }), []string{"wish-out-of-reach"}},
		{"out of reach, few seats", ratings(func(q *analysis.Sizing) { q.Difference, q.Places = 0.01, 30 }),
			[]string{"wish-out-of-reach", "seats-too-few"}},
		{"triangle", analysis.Sizing{Test: "triangle", Sides: study.Greater, Share: 0.3, Replicates: 2},
			[]string{"saw-tooth", "replicates-as-independent"}},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			var got []string
			for _, w := range findSize(t, tc.q).Warnings {
				got = append(got, w.Code)
				if text := w.Said.String(); strings.Contains(text, "NaN") || strings.Contains(text, "%!") {
					t.Errorf("%s: %s", w.Code, text)
				}
			}
			slices.Sort(got)
			slices.Sort(tc.want)
			if !slices.Equal(got, tc.want) {
				t.Errorf("warnings %v, want %v", got, tc.want)
			}
		})
	}
}

func TestSizeSaysWhatTheSeatsCanDo(t *testing.T) {
	z := findSize(t, analysis.Sizing{Test: "paired-t", Difference: 5, Spread: analysis.GivenSpread(10), Places: 20,
		Assessors: 40})
	want := "you would need 34 assessors; you have seats for 20: with 20, a difference of 5 points is found with 56 " +
		"% power, " +
		"and differences from 6.6 points on with 80 %"
	if z.Held.Assessors != 20 || len(z.Warnings) != 1 || z.Warnings[0].Said.String() != want {
		t.Errorf("got %+v, %v", z.Held, z.Warnings)
	}
}

func TestSizeRefusesNonsense(t *testing.T) {
	sound := analysis.Sizing{Test: "paired-t", Difference: 5, Spread: analysis.GivenSpread(10)}
	for field, change := range map[string]func(*analysis.Sizing){
		"test":       func(q *analysis.Sizing) { q.Test = "guess" },
		"alpha":      func(q *analysis.Sizing) { q.Alpha = math.NaN() },
		"power":      func(q *analysis.Sizing) { q.Power = 0.04 },
		"difference": func(q *analysis.Sizing) { q.Difference = -1 },
		"spread":     func(q *analysis.Sizing) { q.Spread.SD = math.Inf(1) },
		"share":      func(q *analysis.Sizing) { q.Share = 0.3 },
		"assessors":  func(q *analysis.Sizing) { q.Assessors = -1 },
		"distance":   func(q *analysis.Sizing) { *q = analysis.Sizing{Test: "tetrad", Share: 0.3, Distance: 1} },
	} {
		q := sound
		change(&q)
		var refused *analysis.SizingError
		if _, err := analysis.FindSize(q); !errors.As(err, &refused) || refused.Field != field ||
			refused.Instead.Text == "" {
			t.Errorf("%s: got %v", field, err)
		}
	}
}

func exampleStudy(t *testing.T, name string) *study.Study {
	t.Helper()
	src, err := os.ReadFile("../../studies/" + name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse(name, src)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return s
}

func TestSizingOfStudies(t *testing.T) {
	q, err := analysis.SizingOf(exampleStudy(t, "celeriac-custard"))
	if err != nil || q.Test != "paired-t" || q.Difference != 5 || q.Length != 100 || q.Block != 2 ||
		q.Assessors != 40 || q.Each != (analysis.Part{Count: 1, Of: 1}) {
		t.Errorf("two names: %+v, %v", q, err)
	}
	q, err = analysis.SizingOf(exampleStudy(t, "seven-caramels")) // some of seven, in incomplete blocks
	s := exampleStudy(t, "seven-caramels")
	k := s.Serving.PerAssessor
	if err != nil || q.Each != (analysis.Part{Count: k * (k - 1), Of: 42}) {
		t.Errorf("incomplete blocks: %+v, %v", q, err)
	}
	q, err = analysis.SizingOf(exampleStudy(t, "one-name-each"))
	if err != nil || q.Test != "welch-t" || q.Each.Count != 1 ||
		q.Each.Of != len(exampleStudy(t, "one-name-each").Samples) {
		t.Errorf("one each: %+v, %v", q, err)
	}
	q, err = analysis.SizingOf(exampleStudy(t, "made-yesterday"))
	if err != nil || q.Test != "triangle" || q.Sides != study.Greater || q.Block != 6 {
		t.Errorf("triangle: %+v, %v", q, err)
	}
	q, err = analysis.SizingOf(exampleStudy(t, "same-or-different"))
	if err != nil || !q.SizedByDistance() || q.Each.Count != 2 {
		t.Errorf("same–different: %+v, %v", q, err)
	}
}

func TestCost(t *testing.T) {
	s := exampleStudy(t, "celeriac-custard")
	s.Panel.Seats = 12
	c, err := analysis.CostOf(s, 40)
	// Two spoonfuls each; 120 s to read, 2 × (30 s + 4 × 15 s) to taste and answer, 45 s between: 345 s, by hand.
	if err != nil || c.Portions != 80 || c.Sittings != 4 || c.Spares != 40 || c.Minutes != 6 {
		t.Errorf("got %+v, %v", c, err)
	}
}

// A half-done study is refused with words or sized, but never breaks the program.
func TestSizingOfHalfDoneStudies(t *testing.T) {
	for _, name := range []string{"celeriac-custard", "recipe-or-name", "seven-caramels", "made-yesterday",
		"one-name-each", "house-custard"} {
		src, err := os.ReadFile("../../studies/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.SplitAfter(string(src), "\n")
		for i := range lines {
			for _, text := range []string{strings.Join(lines[:i], ""),
				strings.Join(slices.Delete(slices.Clone(lines), i, i+1), "")} {
				s, _ := study.Read(name, []byte(text))
				q, err := analysis.SizingOf(s)
				if err == nil && i%15 == 0 {
					_, err = analysis.FindSize(q)
				}
				if err != nil && err.Error() == "" {
					t.Errorf("%s without line %d: refused without a word", name, i+1)
				}
				if c, err := analysis.CostOf(s, 40); err == nil && (c.Plates < 1 || c.Sittings < 1) {
					t.Errorf("%s without line %d: %+v", name, i+1, c)
				}
			}
		}
	}
}
