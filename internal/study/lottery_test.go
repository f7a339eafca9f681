package study

import (
	"strings"
	"testing"
)

func TestLotteryOfAPlan(t *testing.T) {
	s, problems := fourWith(t, "  compare: [P, S]\n  attribute: liking\n  test: lottery\n")
	if len(problems) > 0 || s.Plan.Test != Lottery {
		t.Fatal(s.Plan, problems)
	}
	if again, problems := Parse("s.yaml", Format(s)); len(problems) > 0 || Hash(again) != Hash(s) {
		t.Errorf("written and read again: %+v, %v", again.Plan, problems)
	}
	one := strings.Replace(read(t, "../../studies/one-name-each.yaml"), "test: welch-t", "test: lottery", 1)
	if s, problems := Parse("s.yaml", []byte(one)); len(problems) > 0 || s.Plan.Test != Lottery {
		t.Errorf("groups: %v", problems)
	}
	_, problems = fourWith(t, "  compare: all\n  attribute: liking\n  test: lottery\n")
	if len(problems) != 1 || !strings.Contains(problems[0].What.String(), "lottery compares two samples") {
		t.Errorf("all samples: %v", problems)
	}
}

// A sample that always comes before the other is refused, with what to write.
func TestLotteryThatCannotPartTheTwo(t *testing.T) {
	text := read(t, "../../studies/recipe-or-name.yaml")
	before, after, _ := strings.Cut(text, "\n  effect of: name\n  compare: [butter, garden]\n")
	_, after, _ = strings.Cut(after, "\n  test:")
	_, after, _ = strings.Cut(after, "\n")
	for _, tc := range []struct {
		first, pair string
		want        int
	}{{"true", "P1, P2", 0}, {"true", "P0, B0", 0}, {"true", "P0, P1", 1}, {"false", "P0, P1", 0}} {
		file := strings.Replace(before, "blind first: true", "blind first: "+tc.first, 1) + "\n  compare: [" + tc.pair +
			"]\n  attribute: liking\n  test: lottery\n" + after
		_, problems := Parse("s.yaml", []byte(file))
		if len(problems) != tc.want || tc.want > 0 && (problems[0].Instead.String() == "" ||
			!strings.Contains(problems[0].What.String(), "always comes before")) {
			t.Errorf("blind first %s, %s: %v", tc.first, tc.pair, problems)
		}
	}
}
