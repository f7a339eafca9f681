package study

import (
	"os"
	"strings"
	"testing"
)

const saltByTheGram = "../../studies/salt-by-the-gram.yaml"

// What is wrong with amounts is refused at its line, with what to write.
func TestAmountsRefused(t *testing.T) {
	t.Parallel()
	sound, err := os.ReadFile(saltByTheGram)
	if err != nil {
		t.Fatal(err)
	}
	if _, problems := Parse("", sound); len(problems) > 0 {
		t.Fatal(problems)
	}
	cut := func(from, to string) string {
		s := string(sound)
		i := strings.Index(s, from)
		return s[i : i+strings.Index(s[i:], to)]
	}
	for name, tc := range map[string]struct{ old, new, want, instead string }{
		"no unit": {"amounts in: g of salt per litre\n", "", "the amounts have no unit", "g of salt per " +
			"litre"},
		"half a unit": {"amounts in: g of salt per litre", "amounts in: g a litre", "does not say of what",
			"per kilogram"},
		"no amount":      {"    amount: 7\n", "", "dish \"s7\" has no amount", "amount: 6"},
		"below zero":     {"amount: 6\n", "amount: -6\n", "\"amount\" is -6", "0 or above"},
		"twice the same": {"amount: 7\n", "amount: 6\n", "samples A and B have the same amount, 6 g", "replicates"},
		"not ascending": {"amount: 7\n", "amount: 5\n", "sample B has less than the one before it", "from the " +
			"least"},
		"outside": {"  - id: A\n    dish: s6\n    blind: true\n", "  - id: A\n    dish: s7\n    blind: " +
			"true\n", "dish \"s6\" is in no sample", "without it"},
		"compare": {"  attribute: saltiness", "  attribute: saltiness\n  compare: [A, B]", "\"compare\" " +
			"has no meaning", "without it"},
		"a far rating": {"wanted rating: 50", "wanted rating: 500", "no rating of saltiness can be 500", "from " +
			"0 to 100"},
		"a steep slope": {"smallest effect: 3", "smallest effect: 30", "more than the scale of saltiness " +
			"holds", "at most 25"},
		"too few": {cut("  - id: B\n", "  - id: E\n"), "", "three to eight of them; here are two", "four " +
			"to six"},
		"another question": {"question: amounts", "question: samples", "a samples study compares no amounts",
			"ask a question of amounts"},
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

// A dish under a name has to lie within the series that it is laid on.
func TestAmountsLaidOutside(t *testing.T) {
	t.Parallel()
	sound, err := os.ReadFile(saltByTheGram)
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(string(sound), "  - id: A\n    dish: s6\n    blind: true\n", "", 1)
	text = strings.Replace(text, "  - id: N\n    dish: s8", "  - id: N\n    dish: s6", 1)
	if _, problems := Parse("s.yaml", []byte(text)); len(problems) == 0 {
		t.Error("taken although A is gone")
	} else if !strings.Contains(problems[0].Error(), "sample N lies outside the series: 6 g, which runs from 7 g "+
		"to 10 g") {
		t.Error(problems)
	}
}
