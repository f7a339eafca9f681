package study

import (
	"os"
	"strings"
	"testing"
)

// What is wrong with a profile is refused at its line, with what to write.
func TestProfileRefused(t *testing.T) {
	t.Parallel()
	sound, err := os.ReadFile("../../studies/custard-profile.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, problems := Parse("", sound)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if !s.Plan.WholePanel || s.Plan.Test != MixedF || s.Serving.Replicates != 2 {
		t.Errorf("the plan is %+v, each served %d times", s.Plan, s.Serving.Replicates)
	}
	again, problems := Parse("", Format(s))
	if len(problems) > 0 || Hash(again) != Hash(s) {
		t.Errorf("written and read again: %v", problems)
	}
	from := func(text string) string { return string(sound)[strings.Index(string(sound), text):] }
	sweet := from("  - id: sweetness")
	sweet = sweet[:strings.Index(sweet, "\npanel:")]
	for name, tc := range map[string]struct{ old, new, want, instead string }{
		"one attribute": {sweet, "", "one attribute is no profile", "question: samples"},
		"about right": {"{line: [not at all sweet, extremely sweet]}",
			"{about right: [too little, about right, too much]}", "answers of sweetness have none", "write a line"},
		"two samples": {"  - id: R\n    dish: roasted\n    blind: true\n  - id: B\n    dish: brown\n    blind: true\n",
			"", "a sensory-profile test compares three to eight samples", "write three to eight"},
		"a pair": {"  attribute: smokiness", "  attribute: smokiness\n  compare: [P, S]", "\"compare\" has no meaning",
			"without it"},
		"a test": {"  attribute: smokiness", "  attribute: smokiness\n  test: friedman", "\"test\" has no meaning",
			"without it"},
		"some of them":   {"  replicates: 2", "  design: some\n  per assessor: 3", "gives every sample", "design: all"},
		"one-sided":      {"  attribute: smokiness", "  attribute: smokiness\n  sides: greater", "", "sides: two"},
		"a far effect":   {"smallest effect: 8", "smallest effect: 800", "can differ by 800", "below 100"},
		"no attribute":   {"  attribute: smokiness\n", "", "attribute", "id of the attribute"},
		"too few visits": {"most per sitting: 6", "most per sitting: 3", "need at least 3 sittings", "sittings: 3"},
	} {
		t.Run(name, func(t *testing.T) {
			text := strings.Replace(string(sound), tc.old, tc.new, 1)
			if text == string(sound) {
				t.Fatal("the case changes nothing")
			}
			_, problems := Parse("s.yaml", []byte(text))
			for _, p := range problems {
				if line := p.Error(); strings.Contains(line, tc.want) && strings.Contains(line, tc.instead) &&
					p.Line > 0 {
					return
				}
			}
			t.Errorf("no problem says %q and %q: %v", tc.want, tc.instead, problems)
		})
	}
}
