package summary

import (
	"os"
	"slices"
	"strings"
	"testing"

	"cloche/internal/server/site"
	"cloche/internal/study"
)

// TestExplainedInFourSentences: the plan of the lottery, of several pairs of each guest and of guesses after the last
// plate is explained in four sentences, in every language.
func TestExplainedInFourSentences(t *testing.T) {
	t.Parallel()
	read := func(name string) *study.Study {
		src, err := os.ReadFile("../../../studies/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		s, problems := study.Parse(name, src)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		return s
	}
	asked := map[string]*study.Study{"lottery": read("warmed-plates"), "shift": read("nutmeg-for-some")}
	for _, q := range []study.LastQuestion{study.AskCompared, study.AskSame, study.AskWhich} {
		s := read("smooth-by-starch")
		s.Panel.LastQuestion = q
		asked["guess "+string(q)] = s
	}
	for name, s := range asked {
		own := explained(s)
		if len(own) != 1 {
			t.Fatalf("%s: %q", name, own)
		}
		seen := map[string]bool{}
		for _, tag := range study.Spoken {
			w := site.TongueIn(tag)
			told := w.Translate(own[0])
			if !slices.Contains(AnalysisPlan(w, s), told) || seen[told] {
				t.Errorf("%s is not explained in %s, or not in its words: %q", name, tag, told)
			}
			if n := strings.Count(told+" ", ". "); n != 4 {
				t.Errorf("%s takes %d sentences in %s: %s", name, n, tag, told)
			}
			seen[told] = true
		}
	}
	if told := explained(read("celeriac-custard")); told != nil {
		t.Errorf("a plain study is explained: %q", told)
	}
}
