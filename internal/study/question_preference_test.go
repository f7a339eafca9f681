package study

import (
	"os"
	"strings"
	"testing"
)

func TestPreferenceStudies(t *testing.T) {
	src, err := os.ReadFile("../../studies/browned-butter.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, problems := Parse("browned-butter.yaml", src)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if s.TurnAsk() != "Which do you like better?" || s.NoneWord() != "No preference" ||
		s.In("fr").Plan.Undecided != DropUndecided {
		t.Errorf("asks %q, or %q", s.TurnAsk(), s.NoneWord())
	}
	again, problems := Parse("written.yaml", Format(s))
	if len(problems) > 0 || Hash(again) != Hash(s) {
		t.Errorf("written and read back: %v\n%s", problems, Format(s))
	}
	for _, tc := range []struct{ name, out, in, want string }{
		{"a name", "    dish: plain\n    blind: true", "    dish: plain\n    name: n",
			"write a list \"names\" with it"},
		{"one sample", "  - id: B\n    dish: plain\n    blind: true\n", "", "\"samples\" holds 1 item"},
		{"attributes", "panel:", "attributes:\n  - {id: salt, ask: Which is saltier?}\n\npanel:",
			"has a question of its own and rates nothing"},
		{"some to each", "  rinse: 45 s", "  design: one", "gives every sample to each assessor; write design: all"},
		{"an effect in points", "effect: 0.65", "effect: 5",
			"a share of the answers above 0.5 and at most 1, as in 0.65"},
		{"no effect", "effect: 0.65", "effect: 0.5", "a share of the answers above 0.5 and at most 1, as in 0.65"},
		{"another rule", "undecided: drop", "undecided: ignore", "write one of drop, split"},
		{"split answers of one", "  rinse: 45 s", "  replicates: 2", "write undecided: drop, or replicates: 1"},
		{"a test of ratings", "undecided: drop", "test: paired-t",
			"\"test\" has no meaning in a preference test, which counts choices"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			text := strings.Replace(string(src), tc.out, tc.in, 1)
			if tc.name == "split answers of one" {
				text = strings.Replace(text, "undecided: drop", "undecided: split", 1)
			}
			if text == string(src) {
				t.Fatal("nothing was changed")
			}
			_, problems := Parse("f.yaml", []byte(text))
			var all []string
			for _, p := range problems {
				all = append(all, p.Error())
			}
			if !strings.Contains(strings.Join(all, "\n"), tc.want) {
				t.Errorf("want %q in\n%s", tc.want, strings.Join(all, "\n"))
			}
		})
	}
}

// A question that has no use for undecided answers refuses the rule.
func TestUndecidedElsewhere(t *testing.T) {
	src, err := os.ReadFile("../../studies/celeriac-custard.yaml")
	if err != nil {
		t.Fatal(err)
	}
	_, problems := Parse("f.yaml", []byte(strings.Replace(string(src), "  adjust: holm", "  undecided: drop", 1)))
	if len(problems) != 1 || !strings.Contains(problems[0].Error(),
		`"undecided" has no meaning in a names test, which collects ratings`) {
		t.Errorf("got %v", problems)
	}
}
