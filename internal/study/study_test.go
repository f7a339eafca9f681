package study

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func parse(t *testing.T, src string) *Study {
	t.Helper()
	s, problems := Parse("", []byte(src))
	if s == nil {
		t.Fatal(messages(problems))
	}
	return s
}

// What holds when a file does not say, as the package documentation has it.
func TestDefaults(t *testing.T) {
	names := read(t, "../../testdata/study/names.yaml")
	triangle := read(t, "../../testdata/study/triangle.yaml")
	rates := func(v Serving) Serving {
		v.Attributes, v.Replicates, v.Codes, v.SpareCodes, v.RinseSeconds = FixedOrder, 1, CodePerServing, 10, 30
		if v.Blocks == "" {
			v.Blocks = FixedBlocks
		}
		v.TrayOpens, v.PassMinutes, v.AtOneTable, v.GraceMinutes = ByAllCodes, 3, MixedOrders, 5
		return v
	}
	ask := func(question string) string {
		return strings.Replace(triangle, "question: triangle\n", "question: "+question+"\nattributes: [{id: salty, "+
			"ask: Which is saltier?}]\n", 1)
	}
	tests := []struct {
		name, src string
		serving   Serving
		plan      AnalysisPlan
	}{
		{"all to each", strings.Replace(names, "serving:\n  seed: 1\n", "", 1),
			rates(Serving{Design: All, PlateGate: true}),
			AnalysisPlan{Compare: [2]SampleID{"A", "B"}, Attribute: "salty", Test: PairedT, Sides: TwoSided,
				Alpha: 0.05, Adjust: Holm}},
		{"one to each", strings.Replace(names, "seed: 1", "design: one", 1),
			rates(Serving{Design: One, Blocks: RandomBlocks, PlateGate: true}),
			AnalysisPlan{Compare: [2]SampleID{"A", "B"}, Attribute: "salty", Test: WelchT, Sides: TwoSided,
				Alpha: 0.05, Adjust: Holm}},
		{"triangle", strings.Replace(triangle, "analysis:\n  alpha: 0.05\n", "", 1),
			rates(Serving{Design: All, Seed: 1, HasSeed: true}), AnalysisPlan{Sides: Greater, Alpha: 0.05}},
		{"duo-trio", strings.Replace(triangle, "question: triangle", "question: duo-trio", 1),
			rates(Serving{Design: All, Reference: BalancedReference, Seed: 1, HasSeed: true}),
			AnalysisPlan{Sides: Greater, Alpha: 0.05}},
		{"2-afc", ask("2-afc"), rates(Serving{Design: All, Seed: 1, HasSeed: true}),
			AnalysisPlan{Compare: [2]SampleID{"A", "B"}, Sides: TwoSided, Alpha: 0.05}},
		{"3-afc", strings.Replace(ask("3-afc"), "  alpha: 0.05", "  compare: [B, A]", 1),
			rates(Serving{Design: All, Seed: 1, HasSeed: true}),
			AnalysisPlan{Compare: [2]SampleID{"B", "A"}, Sides: Greater, Alpha: 0.05}},
		{"seed of nought", strings.Replace(names, "seed: 1", "seed: 0", 1), rates(Serving{Design: All, HasSeed: true,
			PlateGate: true}),
			AnalysisPlan{Compare: [2]SampleID{"A", "B"}, Attribute: "salty", Test: PairedT, Sides: TwoSided,
				Alpha: 0.05, Adjust: Holm}},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			s := parse(t, tc.src)
			if diff := cmp.Diff(tc.serving, s.Serving); diff != "" {
				t.Errorf("serving (-want +got):\n%s", diff)
			}
			if diff := cmp.Diff(tc.plan, s.Plan); diff != "" {
				t.Errorf("analysis plan (-want +got):\n%s", diff)
			}
			if s.Panel.Sittings != 1 || s.Panel.Seats != 0 {
				t.Errorf("panel %+v, want one sitting and no limit of seats", s.Panel)
			}
			again := parse(t, string(Format(s)))
			if diff := cmp.Diff(s, again); diff != "" {
				t.Errorf("written and read (-s +again):\n%s", diff)
			}
		})
	}
}

// Ways to write a value that must be read as meant.
func TestValues(t *testing.T) {
	names := read(t, "../../testdata/study/names.yaml")
	tests := []struct {
		name, out, in string
		got           func(*Study) any
		want          any
	}{
		{"below zero", "55 °C", "−18 °C", func(s *Study) any { return s.Dishes[0].ServeAt }, -18.0},
		{"half a degree", "55 °C", "62.5°C", func(s *Study) any { return s.Dishes[0].ServeAt }, 62.5},
		{"minutes", "seed: 1", "rinse: 2 min", func(s *Study) any { return s.Serving.RinseSeconds }, 120},
		{"no rinse", "seed: 1", "rinse: 0s", func(s *Study) any { return s.Serving.RinseSeconds }, 0},
		{"largest seed", "seed: 1", "seed: 18446744073709551615", func(s *Study) any {
			return s.Serving.Seed
		}, uint64(math.MaxUint64)},
		{"exponent", "  attribute: salty", "  attribute: salty\n  alpha: 1e-3", func(s *Study) any {
			return s.Plan.Alpha
		}, 0.001},
		{"largest alpha", "  attribute: salty", "  attribute: salty\n  alpha: .5", func(s *Study) any {
			return s.Plan.Alpha
		}, 0.5},
		{"effect of the whole scale", "  attribute: salty", "  attribute: salty\n  smallest effect: 100",
			func(s *Study) any {
				return s.Plan.SmallestEffect
			}, 100.0},
		{"folded text", "You may stop at any moment.", ">\n    You may stop\n    at any moment.\n\n    " +
			"Truly.", func(s *Study) any { return s.Texts.Consent }, "You may stop at any moment.\nTruly."},
		{"block of text", "You may stop at any moment.", "|\n    You may\n      stop.\n\n\n", func(s *Study) any {
			return s.Texts.Consent
		}, "You may\n  stop."},
		{"a number in quotes is text", "title: Custard", "title: \"1908\"", func(s *Study) any {
			return s.Dishes[0].Title
		}, "1908"},
		{"no allergens", "[milk, eggs]", "[]", func(s *Study) any { return len(s.Dishes[0].Allergens) }, 0},
		{"own ends", "extremely]}", "extremely], from: -10, to: 10}", func(s *Study) any {
			return [2]float64{s.Attributes[0].Scale.Min(), s.Attributes[0].Scale.Max()}
		}, [2]float64{-10, 10}},
		{"usual ends", "extremely]}", "extremely]}", func(s *Study) any {
			return [2]float64{s.Attributes[0].Scale.Min(), s.Attributes[0].Scale.Max()}
		}, [2]float64{0, 100}},
		{"a name inside a word is no leak", "Taste and answer.", "Taste the royales, then answer.", func(s *Study) any {
			return s.Texts.Instructions
		}, "Taste the royales, then answer."},
		{"a name may be told at the end", "  instructions:", "  debrief: Once it was called royale.\n  " +
			"instructions:", func(s *Study) any { return s.Texts.Debrief }, "Once it was called royale."},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			if strings.Count(names, tc.out) != 1 {
				t.Fatalf("%q does not stand once in the file", tc.out)
			}
			if got := tc.got(parse(t, strings.Replace(names, tc.out, tc.in, 1))); got != tc.want {
				t.Errorf("got %v, want %v", got, tc.want)
			}
		})
	}
}

func TestScaleHolds(t *testing.T) {
	line := Scale{Kind: Line}
	own := Scale{Kind: Line, From: -10, To: 10}
	three := Scale{Kind: Categories, Labels: []string{"thin", "right", "thick"}}
	nine := Scale{Kind: Hedonic9, Labels: Hedonic9Labels[:]}
	tests := []struct {
		name    string
		scale   Scale
		holds   []float64
		refuses []float64
		step    float64
	}{
		{"line", line, []float64{0, 0.1, 50, 100}, []float64{-0.1, 100.1}, 1},
		{"line with its own ends", own, []float64{-10, -1.6, 10}, []float64{-10.1, 10.1, 50}, 0.2},
		{"categories", three, []float64{1, 2, 3}, []float64{0, 1.5, 4}, 1},
		{"hedonic", nine, []float64{1, 5, 9}, []float64{0, 10, 8.5}, 1},
		{"none", Scale{}, nil, []float64{0, 1}, 1},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			for _, v := range tc.holds {
				if !tc.scale.Holds(v) {
					t.Errorf("does not hold %g", v)
				}
			}
			for _, v := range append(tc.refuses, math.NaN(), math.Inf(1), math.Inf(-1)) {
				if tc.scale.Holds(v) {
					t.Errorf("holds %g", v)
				}
			}
			if tc.scale.Step() != tc.step {
				t.Errorf("step %g, want %g", tc.scale.Step(), tc.step)
			}
		})
	}
}

// The groups of Regulation (EU) No 1169/2011, Annex II, in its order, each by a
// word of its heading there.
func TestAllergensOfAnnexII(t *testing.T) {
	annex := []string{
		"cereals containing gluten", "crustaceans", "eggs", "fish", "peanuts", "soybeans", "milk", "nuts", "celery",
		"mustard", "sesame", "sulphur dioxide", "lupin", "molluscs",
	}
	if len(Allergens) != len(annex) {
		t.Fatalf("%d allergens, want %d", len(Allergens), len(annex))
	}
	for i, heading := range annex {
		if a := Allergens[i]; !strings.HasPrefix(a.Text, heading) || a.ID.Text() != a.Text {
			t.Errorf("allergen %d is %s (%s), want %s", i+1, a.ID, a.ID.Text(), heading)
		}
	}
	for word, a := range meantAllergen {
		if len(inAnnexOrder([]Allergen{a})) == 0 {
			t.Errorf("%q is said to stand for %q, which is no allergen", word, a)
		}
	}
}

// What people look for who may not eat it: kinds of wheat by name, and the amount
// from which sulphites are told, as Annex II has them in each language.
func TestAllergenWordsNameWheatAndLimits(t *testing.T) {
	for lang, words := range map[string][3]string{
		"en": {"spelt", "khorasan", "10 mg/kg"}, "fr": {"épeautre", "Khorasan", "10 mg/kg"},
		"de": {"Dinkel", "Khorasan", "10 mg/kg"},
		"es": {"espelta", "khorasan", "10 mg/kg"}, "it": {"farro", "khorasan", "10 mg/kg"},
	} {
		gluten, sulphites := Allergen("gluten").TextIn(lang), Allergen("sulphites").TextIn(lang)
		if !strings.Contains(gluten, words[0]) || !strings.Contains(gluten, words[1]) ||
			!strings.Contains(sulphites, words[2]) {
			t.Errorf("%s: %q, %q", lang, gluten, sulphites)
		}
	}
}

func TestAllergenUnion(t *testing.T) {
	s := &Study{Dishes: []Dish{
		{Allergens: []Allergen{"milk", "celery"}, AlsoContains: []string{"nutmeg", "pepper"}},
		{Allergens: []Allergen{"eggs", "milk"}, AlsoContains: []string{"pepper", "honey"}},
	}}
	allergens, notes := s.AllergenUnion()
	if want := []Allergen{"eggs", "milk", "celery"}; !slices.Equal(allergens, want) {
		t.Errorf("allergens %v, want %v", allergens, want)
	}
	if want := []string{"nutmeg", "pepper", "honey"}; !slices.Equal(notes, want) {
		t.Errorf("notes %v, want %v", notes, want)
	}
}

func TestLookups(t *testing.T) {
	s := parse(t, read(t, "../../testdata/study/names.yaml"))
	if d, ok := s.Dish("custard"); !ok || d.Title != "Custard" {
		t.Errorf("Dish = %v, %v", d, ok)
	}
	if n, ok := s.Name("royale"); !ok || n.Text != "royale" {
		t.Errorf("Name = %v, %v", n, ok)
	}
	if x, ok := s.Sample("B"); !ok || x.Name != "royale" || s.NameText("B") != "royale" {
		t.Errorf("Sample = %v, %v", x, ok)
	}
	if a, ok := s.Attribute("salty"); !ok || a.Ask != "How salty is it?" {
		t.Errorf("Attribute = %v, %v", a, ok)
	}
	for what, ok := range map[string]bool{
		"dish": second(s.Dish("x")), "name": second(s.Name("x")), "sample": second(s.Sample("x")),
		"attribute": second(s.Attribute("x")),
	} {
		if ok {
			t.Errorf("a %s that is not there was found", what)
		}
	}
	if s.NameText("x") != "" {
		t.Error("a sample that is not there has a name")
	}
	if got := s.Plan.Level(); got != 0.95 {
		t.Errorf("level %g, want 0.95", got)
	}
}

func second[T any](_ T, ok bool) bool { return ok }

func TestProblemError(t *testing.T) {
	tests := []struct {
		problem Problem
		want    string
	}{
		{Problem{"f.yaml", 3, 7, Say("wrong"),
			Say("write right"), "dishes[0].title"}, "f.yaml:3:7: wrong; write right"},
		{Problem{File: "f.yaml", What: Say("wrong"), Instead: Say("write right")}, "f.yaml: wrong; write right"},
		{Problem{File: "f.yaml", What: Say("wrong")}, "f.yaml: wrong"},
	}
	for _, tc := range tests {
		if got := tc.problem.Error(); got != tc.want {
			t.Errorf("Error() = %q, want %q", got, tc.want)
		}
	}
}
