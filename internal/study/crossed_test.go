package study

import (
	"reflect"
	"slices"
	"strings"
	"testing"
)

// crossedWith is the study of two recipes under three names with another analysis section.
func crossedWith(t *testing.T, analysis string) (*Study, []Problem) {
	t.Helper()
	before, _, ok := strings.Cut(read(t, "../../studies/recipe-or-name.yaml"), "\nanalysis:\n")
	if !ok {
		t.Fatal("the study has no analysis")
	}
	return Parse("s.yaml", []byte(before+"\nanalysis:\n"+analysis+"  attribute: richness\n"))
}

func TestTableOfSamples(t *testing.T) {
	s, problems := crossedWith(t, "  compare: [P1, P2]\n")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c, ok := s.Crossed()
	if !ok || !slices.Equal(c.Names, []string{"blind", "butter", "garden"}) ||
		!slices.Equal(c.At(NameFactor, "butter"), []SampleID{"P1", "B1"}) ||
		!slices.Equal(c.At(DishFactor, "brown"), []SampleID{"B0", "B1", "B2"}) ||
		!slices.Equal(c.Others(NameFactor), c.Dishes) {
		t.Errorf("the table is %+v, %t", c, ok)
	}
	for what, change := range map[string]func(){
		"a cell is missing": func() { s.Samples = s.Samples[:5] },
		"two samples of one cell": func() {
			s.Samples = append(slices.Clone(s.Samples[:4]), s.Samples[3],
				s.Samples[0])
		},
		"one dish":                func() { s.Samples = []Sample{s.Samples[0], s.Samples[2]} },
		"the names by themselves": func() { s.Samples = []Sample{s.Samples[0], s.Samples[1]} },
		"a name that is no blind": func() { s.Samples[2].Name, s.Samples[3].Name = Blind, Blind },
		"nothing":                 func() { s.Samples = nil },
	} {
		whole := slices.Clone(s.Samples)
		if change(); func() bool { _, ok := s.Crossed(); return ok }() {
			t.Errorf("%s, and it is taken for a table", what)
		}
		s.Samples = whole
	}
}

func TestEffectsAsThePrimaryComparison(t *testing.T) {
	hashes := map[string]string{}
	for _, tc := range []struct {
		analysis string
		effect   Factor
		levels   [2]string
		test     Test
	}{
		{"  effect of: name\n  compare: [butter, garden]\n", NameFactor, [2]string{"butter", "garden"}, PairedT},
		{"  effect of: name\n  compare: [butter, blind]\n", NameFactor, [2]string{"butter", "blind"}, PairedT},
		{"  effect of: name\n  compare: all\n", NameFactor, [2]string{}, RMAnova},
		{"  effect of: dish\n  compare: [brown, plain]\n  test: signed-rank\n", DishFactor, [2]string{"brown", "plain"},
			SignedRank},
		{"  effect of: name by dish\n  compare: all\n", NameByDish, [2]string{}, RMAnova},
		{"  effect of: name by dish\n  compare: all\n  test: mixed-f\n", NameByDish, [2]string{}, MixedF},
	} {
		s, problems := crossedWith(t, tc.analysis)
		if len(problems) > 0 {
			t.Errorf("%s%v", tc.analysis, problems)
			continue
		}
		p := s.Plan
		if p.EffectOf != tc.effect || p.Levels != tc.levels || p.Test != tc.test || p.WholePanel || p.ComparesTwo() ||
			p.Compare != [2]SampleID{} {
			t.Errorf("%sread as %+v", tc.analysis, p)
		}
		again, problems := Parse("s.yaml", Format(s))
		if len(problems) > 0 || Hash(again) != Hash(s) || !reflect.DeepEqual(again.Plan, s.Plan) {
			t.Errorf("%swritten and read again: %+v, %v", tc.analysis, again, problems)
		}
		if other, taken := hashes[Hash(s)]; taken {
			t.Errorf("%shas the hash of\n%s", tc.analysis, other)
		}
		hashes[Hash(s)] = tc.analysis
	}
}

func TestMistakesInAPlanOfEffects(t *testing.T) {
	for _, tc := range []struct{ name, analysis, want string }{
		{"no such effect", "  effect of: colour\n  compare: [butter, garden]\n", "colour"},
		{"no such name", "  effect of: name\n  compare: [butter, leek]\n", `"leek" is none of the names`},
		{"samples for names", "  effect of: name\n  compare: [P1, P2]\n", `"P1" is none of the names`},
		{"a name with itself", "  effect of: name\n  compare: [butter, butter]\n", "compared with itself"},
		{"two dishes, no order", "  effect of: dish\n  compare: all\n", "which is the first is not said"},
		{"levels of both", "  effect of: name by dish\n  compare: [butter, garden]\n", "all names and dishes"},
		{"one-sided among three", "  effect of: name\n  compare: all\n  sides: less\n", "no first one"},
		{"a test of three for two", "  effect of: dish\n  compare: [plain, brown]\n  test: friedman\n", "does " +
			"not test"},
		{"a test of two for three", "  effect of: name\n  compare: all\n  test: paired-t\n", "does not test"},
		{"no comparison", "  effect of: name\n", `has no "compare"`},
	} {
		t.Run(tc.name, func(t *testing.T) {
			_, problems := crossedWith(t, tc.analysis)
			if len(problems) == 0 || len(problems) > 2 || !strings.Contains(problems[0].What.String(), tc.want) ||
				problems[0].Instead.String() == "" {
				t.Errorf("got %v, want one with %q", problems, tc.want)
			}
		})
	}
	s, problems := fourWith(t, "  effect of: name\n  compare: all\n  attribute: liking\n")
	if s != nil || len(problems) != 1 || !strings.Contains(problems[0].What.String(), "no table") {
		t.Errorf("of samples that are no table: %v", problems)
	}
}
