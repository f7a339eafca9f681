package study

import (
	"os"
	"strings"
	"testing"
)

// What is wrong with rising amounts is refused at its line, with what to write.
func TestThresholdRefused(t *testing.T) {
	t.Parallel()
	sound, err := os.ReadFile("../../studies/little-smoke.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, problems := Parse("", sound)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if s.Trays() != 5 {
		t.Errorf("%d trays", s.Trays())
	}
	for name, tc := range map[string]struct{ old, new, want, instead string }{
		"the first has some": {"amount: 0\n", "amount: 0.1\n", "sample A, the first, has 0.1 g", "write amount: 0 " +
			"there"},
		"twice the same": {"amount: 0.4\n", "amount: 0.2\n", "samples B and C have the same amount, 0.2 g",
			"each assessor gets one series"},
		"not rising": {"amount: 0.8\n", "amount: 0.3\n", "sample D has less than the one before it", "from the least"},
		"no amount":  {"    amount: 1.6\n", "", "dish \"s\" has no amount", "amount: 6"},
		"too few": {"  - id: E\n    dish: s\n    blind: true\n  - id: F\n    dish: m\n    blind: true\n", "",
			"a threshold test compares five to seven samples; here are 4", "write five to seven"},
		"twice": {"  rinse: 60 s", "  rinse: 60 s\n  replicates: 2", "each assessor gets one series",
			"replicates: 1"},
		"two-sided": {"  seed: 20261215", "  seed: 20261215\nanalysis:\n  sides: two", "one-sided", "sides: greater"},
		"compare": {"  seed: 20261215", "  seed: 20261215\nanalysis:\n  compare: [A, B]", "\"compare\" has no meaning",
			"without it"},
		"smallest effect": {"  seed: 20261215", "  seed: 20261215\nanalysis:\n  smallest effect: 0.3",
			"\"smallest effect\" has no meaning", "without it"},
		"no attribute": {"attributes:\n  - id: smoke\n    ask: Which of these tastes of smoke?\n", "",
			"asks about one attribute", "tastes of smoke"},
		"a scale": {"    ask: Which of these tastes of smoke?\n",
			"    ask: Which of these tastes of smoke?\n    scale: {line: [not, very]}\n", "has no scale", "without " +
				"one"},
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
			t.Errorf("want %q; %q; got %v", tc.want, tc.instead, problems)
		})
	}
}
