package study

import (
	"os"
	"strings"
	"testing"
)

func TestRankingStudies(t *testing.T) {
	for _, tc := range []struct{ file, ask string }{
		{"four-crusts", "Put these in order: the one you like most first."},
		{"salt-in-order", "Put these in order, the saltiest first."},
	} {
		src, err := os.ReadFile("../../studies/" + tc.file + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		s, problems := Parse(tc.file, src)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		if s.TurnAsk() != tc.ask || s.TurnServings() != 4 || s.Question.Response() != RankAll {
			t.Errorf("%s asks %q of %d", tc.file, s.TurnAsk(), s.TurnServings())
		}
		again, problems := Parse("written.yaml", Format(s))
		if len(problems) > 0 || Hash(again) != Hash(s) {
			t.Errorf("written and read back: %v\n%s", problems, Format(s))
		}
	}
}

func TestRankingsThatCannotBe(t *testing.T) {
	src, err := os.ReadFile("../../studies/four-crusts.yaml")
	if err != nil {
		t.Fatal(err)
	}
	samples := src[strings.Index(string(src), "  - id: B\n    dish: cane"):strings.Index(string(src), "\npanel:")]
	dishes, more := "dishes:\n", ""
	for _, id := range strings.Fields("E F G H I") {
		dishes += "  - {id: d" + id + ", title: Custard " + id + ", allergens: [eggs, milk, celery]}\n"
		more += "  - {id: " + id + ", dish: d" + id + ", blind: true}\n"
	}
	for _, tc := range []struct{ name, out, in, want string }{
		{"one", string(samples), "", "holds 1 item; write 2 to 26"},
		{"two", string(samples), "  - {id: B, dish: cane, blind: " +
			"true}\n", "compares three to eight samples; here are 2"},
		{"nine", "\npanel:", more + "\npanel:", "compares three to eight samples; here are 9; write three to eight"},
		{"a name", "    dish: cane\n    blind: true", "    dish: cane\n    name: n", "write a list \"names\" with it"},
		{"attributes", "\npanel:", "\nattributes:\n  - {id: salt, ask: Which is saltier?}\n\npanel:",
			"has a question of its own and rates nothing"},
		{"twice", "  rinse: 45 s", "  replicates: 2",
			"each assessor gives one order of all samples; write replicates: 1"},
		{"some", "  rinse: 45 s", "  design: some\n  per assessor: 3", "gives every sample to each assessor; write " +
			"design: all"},
		{"a pair", "  alpha: 0.05", "  compare: [A, B]", "\"compare\" has no meaning in a ranking-by-liking test, " +
			"which puts"},
		{"one side", "  alpha: 0.05", "  sides: greater", "looks for any order, not for one; write sides: two"},
		{"a sample unknown", "  alpha: 0.05", "  expected order: [C, D, B, X]", "\"X\" is none of the samples"},
		{"a sample twice", "  alpha: 0.05", "  expected order: [C, D, B, C]", "sample \"C\" stands twice in the " +
			"expected order"},
		{"not all", "  alpha: 0.05", "  expected order: [C, D, B]", "the expected order holds 3 of the 4 samples; " +
			"write all"},
		{"points", "effect: 0.7", "effect: 5", "a share of the answers above 0.5 and at most 1"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			text := strings.Replace(string(src), tc.out, tc.in, 1)
			if tc.name == "nine" {
				text = strings.Replace(text, "dishes:\n", dishes, 1)
			}
			if text == string(src) {
				t.Fatal("nothing was changed")
			}
			_, problems := Parse("f.yaml", []byte(text))
			if all := strings.Join(messages(problems), "\n"); !strings.Contains(all, tc.want) {
				t.Errorf("want %q in\n%s", tc.want, all)
			}
		})
	}
}
