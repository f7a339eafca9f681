package study

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestScreeningInAStudyFile(t *testing.T) {
	sound := read(t, "../../testdata/study/names.yaml")
	screened := func(list string) string {
		return strings.Replace(sound, "assessors: 40\n", "assessors: 40\n  screening: "+list+"\n", 1)
	}
	senses, _ := StockScreenOf("senses")
	for _, tc := range []struct {
		name, list string
		want       []Screen
		problem    string
	}{
		{"the program's words", "[{id: senses}]", []Screen{{"senses", senses.In("en").Ask, Yes}}, ""},
		{"the program's words with another rule", "[{id: senses, leaves out: no}]",
			[]Screen{{"senses", senses.In("en").Ask, No}}, ""},
		{"own words", "[{id: hungry, ask: Are you hungry?, leaves out: no}]",
			[]Screen{{"hungry", "Are you hungry?", No}}, ""},
		{"own words under an id of the program", "[{id: senses, ask: A cold?}]", []Screen{{"senses", "A cold?", Yes}},
			""},
		{"no words", "[{id: hungry, leaves out: no}]", nil, `the screening question "hungry" has no words`},
		{"no rule", "[{id: hungry, ask: Hungry?}]", nil,
			`nothing says whom the screening question "hungry" leaves out`},
		{"another answer", "[{id: senses, leaves out: maybe}]", nil, `"leaves out" cannot be "maybe"`},
		{"twice", "[{id: senses}, {id: senses}]", nil, `two of the screening have the id "senses"`},
		{"too many", "[{id: senses}, {id: kitchen}, {id: a, ask: a, leaves out: no}, {id: b, ask: b, leaves out: no}]",
			nil, `"screening" holds 4 items`},
		{"none", "[]", nil, `"screening" holds 0 items`},
		{"a name under test", "[{id: a, ask: Do you know royale?, leaves out: yes}]", nil,
			"assessors would read the name"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s, problems := Parse("", []byte(screened(tc.list)))
			if tc.problem != "" {
				if !strings.Contains(strings.Join(messages(problems), "\n"), tc.problem) {
					t.Errorf("problems %q, want %q", messages(problems), tc.problem)
				}
				return
			}
			if len(problems) > 0 {
				t.Fatalf("problems: %q", messages(problems))
			}
			if diff := cmp.Diff(tc.want, s.Panel.Screening); diff != "" {
				t.Errorf("screening (-want +got):\n%s", diff)
			}
		})
	}
}

// The program has each of its questions in every language, in words of its own.
func TestStockScreensInEveryLanguage(t *testing.T) {
	for _, x := range StockScreens {
		var seen []string
		for _, lang := range Spoken {
			ask := x.In(lang).Ask
			if ask == "" || slices.Contains(seen, ask) || !strings.HasSuffix(ask, "?") {
				t.Errorf("%s in %s: %q", x.ID, lang, ask)
			}
			seen = append(seen, ask)
		}
	}
}

// A study's own question is translated; one of the program's needs nothing.
func TestScreeningInOtherLanguages(t *testing.T) {
	src := strings.Replace(read(t, "../../testdata/study/languages.yaml"), "assessors: 40\n",
		"assessors: 40\n  screening: [{id: senses}, {id: hungry, ask: Are you hungry?, leaves out: no}]\n", 1)
	_, problems := Parse("", []byte(src))
	if got := strings.Join(messages(problems), "\n"); strings.Count(got, `has no "screening"`) != 2 {
		t.Errorf("problems %q, want one in each of two languages", got)
	}
	src = strings.Replace(src, "    also contains:\n      nutmeg: noix",
		"    screening: {hungry: Avez-vous faim ?}\n    also contains:\n      nutmeg: noix", 1)
	src = strings.Replace(src, "    also contains:\n      nutmeg: Mus",
		"    screening: {hungry: Haben Sie Hunger?}\n    also contains:\n      nutmeg: Mus", 1)
	in := parse(t, src).In("fr").Panel.Screening
	want := []string{"Avez-vous un rhume, ou sentez-vous les odeurs ou les goûts moins que d’habitude " +
		"aujourd’hui\u00a0?", "Avez-vous faim ?"}
	for i, x := range in {
		if x.Ask != want[i] {
			t.Errorf("in French %q, want %q", x.Ask, want[i])
		}
	}
}

func TestStoppingInAStudyFile(t *testing.T) {
	sound := read(t, "../../testdata/study/names.yaml")
	for _, tc := range []struct{ rule, problem string }{
		{"stop after: 40", ""}, {"stop by: 2026-12-05", ""}, {"stop by: 2028-02-29", ""}, {"stop by: 2000-02-29", ""},
		{"stop after: 41", "the plan has 40 places"}, {"stop after: 0", "stop after"},
		{"stop by: 2027-02-29", "not a day"}, {"stop by: 2100-02-29", "not a day"},
		{"stop by: 2026-13-01", "not a day"},
		{"stop by: 2026-04-31", "not a day"}, {"stop by: 5 December", "not a day"},
		{"stop by: 2026-00-10", "not a day"}, {"stop by: 2026-01-00", "not a day"},
	} {
		_, problems := Parse("", []byte(sound+"  "+tc.rule+"\n"))
		got := strings.Join(messages(problems), "\n")
		if tc.problem == "" && got != "" || !strings.Contains(got, tc.problem) {
			t.Errorf("%s: problems %q, want %q", tc.rule, got, tc.problem)
		}
	}
}
