package study

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
)

// lookedAt is the custard study of one dish under two names, with more sittings and looks.
func lookedAt(t *testing.T, looks string) (*Study, []Problem) {
	t.Helper()
	text := read(t, "../../studies/celeriac-custard.yaml")
	text = strings.Replace(text, "\n  sittings: 2\n", "\n  sittings: 3\n", 1)
	if !strings.Contains(text, "sittings: 3") {
		text = strings.Replace(text, "\npanel:\n", "\npanel:\n  sittings: 3\n", 1)
	}
	text = strings.Replace(text, "\nanalysis:\n", "\nanalysis:\n"+looks, 1)
	return Parse("s.yaml", []byte(text))
}

func TestLooksOfAPlan(t *testing.T) {
	s, problems := lookedAt(t, "  looks: [16, 28]\n")
	if len(problems) > 0 || !slices.Equal(s.Plan.Looks, []int{16, 28}) || s.Plan.Spending != SpendLate {
		t.Fatal(s.Plan, problems)
	}
	if again, problems := Parse("s.yaml", Format(s)); len(problems) > 0 || Hash(again) != Hash(s) {
		t.Errorf("written and read again: %+v, %v", again.Plan, problems)
	}
	even, problems := lookedAt(t, "  looks: [16, 28]\n  spending: pocock\n")
	if len(problems) > 0 || even.Plan.Spending != SpendEvenly || Hash(even) == Hash(s) {
		t.Error("the way to spend is not in the hash", problems)
	}
	other, _ := lookedAt(t, "  looks: [16, 29]\n")
	if Hash(other) == Hash(s) {
		t.Error("the looks are not in the hash")
	}
	var canonical struct {
		Analysis struct{ Looks []int }
	}
	err := json.Unmarshal(Canonical(s), &canonical)
	if err != nil || !slices.Equal(canonical.Analysis.Looks, s.Plan.Looks) {
		t.Errorf("canonical form: %v, %v", canonical.Analysis.Looks, err)
	}
}

// What cannot be is refused once, where it stands, with what to write.
func TestLooksThatCannotBe(t *testing.T) {
	for _, tc := range []struct{ name, looks, what string }{
		{"too few", "  looks: [11]\n", "rests on too few"},
		{"not rising", "  looks: [20, 20]\n", "does not come after"},
		{"at the end", "  looks: [40]\n", "all 40 have tasted"},
		{"past the end", "  looks: [20]\n  stop after: 20\n", "all 20 have tasted"},
		{"more than sittings", "  looks: [12, 20, 30]\n", "no room for 3 looks"},
		{"no number", "  looks: [many]\n", "not a number of people"},
		{"half a person", "  looks: [16.5]\n", "not a number of people"},
		{"empty", "  looks: []\n", "items"},
		{"no list", "  looks: 16\n", "\"looks\" is written as"},
		{"spending alone", "  spending: pocock\n", "no looks over which"},
		{"unknown spending", "  looks: [16]\n  spending: all\n", "spending"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			_, problems := lookedAt(t, tc.looks)
			if len(problems) != 1 || !strings.Contains(problems[0].What.String(),
				tc.what) || problems[0].Instead.String() == "" {
				t.Errorf("problems: %v", problems)
			}
		})
	}
}

func TestLooksNeedAPairedTTest(t *testing.T) {
	custard := read(t, "../../studies/celeriac-custard.yaml")
	one := read(t, "../../studies/one-name-each.yaml")
	four := read(t, "../../studies/four-custards.yaml")
	two := read(t, "../../studies/custard-with-starch.yaml")
	for _, tc := range []struct{ name, text, from, to, what string }{
		{"evidence of ranks", custard, "\nanalysis:\n", "\nanalysis:\n  evidence: mixture\n  test: " +
			"signed-rank\n", "signed-rank"},
		{"evidence of groups", one, "\nanalysis:\n", "\nanalysis:\n  evidence: betting\n", "taste both"},
		{"ranks", custard, "\nanalysis:\n", "\nanalysis:\n  looks: [16]\n  test: signed-rank\n", "signed-rank"},
		{"one-sided", custard, "\nanalysis:\n", "\nanalysis:\n  looks: [16]\n  sides: greater\n", "two-sided"},
		{"groups", one, "\nanalysis:\n", "\nanalysis:\n  looks: [16]\n", "taste both"},
		{"all samples", four, "\nanalysis:\n", "\nanalysis:\n  looks: [12]\n", "one comparison"},
		{"right answers", two, "\nanalysis:\n", "\nanalysis:\n  looks: [16]\n", "has no meaning"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			text := tc.text
			for _, key := range []string{"test", "sides", "compare"} {
				if strings.Contains(tc.to, key+":") {
					text = withoutLine(text, "\n  "+key+":")
				}
			}
			if tc.name == "all samples" {
				text = withoutLine(text, "\n  test:")
				text = strings.Replace(text, "\nanalysis:\n", "\nanalysis:\n  compare: all\n", 1)
				text = withoutSecond(text, "\n  compare:")
			}
			_, problems := Parse("s.yaml", []byte(strings.Replace(text, tc.from, tc.to, 1)))
			if !slices.ContainsFunc(problems, func(p Problem) bool {
				return strings.Contains(p.What.String(), tc.what) && p.Instead.String() != ""
			}) {
				t.Errorf("problems: %v", problems)
			}
		})
	}
}

// withoutLine leaves out the line that begins with key.
func withoutLine(text, key string) string {
	before, after, found := strings.Cut(text, key)
	if !found {
		return text
	}
	_, after, _ = strings.Cut(after, "\n")
	return before + "\n" + after
}

func withoutSecond(text, key string) string {
	before, after, _ := strings.Cut(text, key)
	return before + key + withoutLine(after, key)
}
