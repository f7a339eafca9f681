package study

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func inWordsFile(t *testing.T) string {
	t.Helper()
	src, err := os.ReadFile("../../studies/custard-in-words.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(src)
}

func TestWordList(t *testing.T) {
	s := parse(t, inWordsFile(t))
	list, ok := s.Words()
	if !ok || list.Scale.Kind != WordList || len(list.Scale.Labels) != 12 || len(list.Scale.Ticks) != 12 {
		t.Fatalf("the list is %+v", list)
	}
	if got := list.Scale.Ticks[7]; got != "words.of-celery" {
		t.Errorf("the answers of %q are written under %q", list.Scale.Labels[7], got)
	}
	fr, _ := s.In("fr").Words()
	if fr.Scale.Labels[7] != "goût de céleri" || !slices.Equal(fr.Scale.Ticks, list.Scale.Ticks) {
		t.Errorf("in French the list is %+v", fr.Scale)
	}
	answered := s.Answered()
	if len(answered) != 13 || answered[0].ID != "liking" || answered[1].ID != "words.smooth" ||
		!answered[1].Scale.Holds(0) || !answered[1].Scale.Holds(1) || answered[1].Scale.Holds(2) ||
		answered[1].Scale.Holds(0.5) {
		t.Errorf("answers are written under %+v", answered)
	}
	if rated := s.RatedBeside(); len(rated) != 1 || rated[0].ID != "liking" {
		t.Errorf("beside the words stands %+v", rated)
	}
	again := parse(t, string(Format(s)))
	if diff := cmp.Diff(s, again); diff != "" {
		t.Errorf("written and read again (-before +after):\n%s", diff)
	}
	if !strings.Contains(string(Canonical(s)), `"kind":"words"`) {
		t.Error("the canonical form has no list")
	}
}

func TestWordListMistakes(t *testing.T) {
	const list = "{words: [smooth, grainy, airy, heavy, salty, sweet, bitter, of celery, of butter, of cereal, " +
		"watery, round]}"
	var many []string
	for i := range 26 {
		many = append(many, fmt.Sprintf("word%d", i))
	}
	tests := []struct{ name, in, want string }{
		{"a double", "{words: [smooth, salty, Smooth]}", `the word "Smooth" is in the list twice; write each word ` +
			`once`},
		{"alike in tables", "{words: [salty, salty!]}", `the words "salty" and "salty!" are both "salty" in tables; ` +
			`write words that differ in more than signs, or keep one`},
		{"no letter", "{words: [salty, …]}", `the word "…" has no letter that tables can hold`},
		{"one", "{words: [smooth]}", `write 2 to 25`},
		{"none", "{words: []}", `write 2 to 25`},
		{"too many", "{words: [" + strings.Join(many, ", ") + "]}", `write 2 to 25`},
		{"empty word", `{words: [salty, ""]}`, `a word is empty`},
		{"two kinds", "{words: [a, b], categories: [c, d]}", `a scale is both a list of words and something else`},
		{"with ends", "{words: [a, b], from: 1}", `"from" is for a line; words are ticked or not`},
		{"no list", "{line: [a, b]}", `a second rating beside the words`},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			src := inWordsFile(t)
			if strings.Count(src, list) != 1 {
				t.Fatal("the list does not stand in the file")
			}
			_, problems := Parse("study.yaml", []byte(strings.Replace(src, list, tc.in, 1)))
			if got := strings.Join(messages(problems), "\n"); !strings.Contains(got, tc.want) {
				t.Errorf("said %s\nwant %s", got, tc.want)
			}
		})
	}
}

func TestWordStudyMistakes(t *testing.T) {
	tests := []struct{ name, out, in, want string }{
		{"served twice", "  rinse: 45 s", "  rinse: 45 s\n  replicates: 2", "each assessor ticks the words of each " +
			"sample once; write replicates: 1, or leave the line out"},
		{"some samples", "  rinse: 45 s", "  design: some\n  per assessor: 2", "a which-words test gives every " +
			"sample " +
			"to each assessor"},
		{"a test", "  alpha: 0.05", "  alpha: 0.05\n  test: paired-t", `"test" has no meaning in a which-words test`},
		{"an effect in points", "smallest effect: 0.4", "smallest effect: 3", "a share of the answers above 0 and at " +
			"most 1"},
		{"a second list", "    scale: hedonic-9", "    scale: {words: [a, b]}", "a second list of words"},
		{"no list at all", "question: which-words", "question: samples", "a list of words is ticked, and a samples " +
			"test collects ratings; write question: which-words, or a line or categories"},
		{"words missing in a language", "aqueux, rond]", "aqueux]", "write 12"},
		{"a scale missing", "    scale: hedonic-9\n", "", `an attribute has no "scale"; write scale: {words: [`},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			src := inWordsFile(t)
			if !strings.Contains(src, tc.out) {
				t.Fatalf("%q does not stand in the file", tc.out)
			}
			_, problems := Parse("study.yaml", []byte(strings.Replace(src, tc.out, tc.in, 1)))
			if got := strings.Join(messages(problems), "\n"); !strings.Contains(got, tc.want) {
				t.Errorf("said %s\nwant %s", got, tc.want)
			}
		})
	}
}
