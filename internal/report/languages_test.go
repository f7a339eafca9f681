package report_test

import (
	"slices"
	"strings"
	"testing"

	"cloche/internal/report"
	"cloche/internal/study"
	"cloche/internal/words"
)

// TestChefsPartIsInTheReadersLanguage: of every example no sentence that somebody acts on is the English
// one in another language, none is broken, and as many come before the numbers.
func TestChefsPartIsInTheReadersLanguage(t *testing.T) {
	for _, name := range invented(t) {
		s, r := inventedOf(t, name)
		english := report.Build(s, r, report.Options{})
		same := report.Build(s, r, report.Options{Tell: func(x study.Said) string { return words.In("en").Tell(x) }})
		if !slices.Equal(chefsPart(english), chefsPart(same)) {
			t.Errorf("%s: the words’ English is another one: %q", name, chefsPart(same))
		}
		for _, lang := range study.Spoken[1:] {
			w := words.In(lang)
			page := report.Build(s, r, report.Options{Tell: func(x study.Said) string { return w.Tell(x) }})
			if page.Plain != english.Plain {
				t.Errorf("%s, %s: %d plain sentences, %d in English", name, lang, page.Plain, english.Plain)
			}
			said, was := chefsPart(page), chefsPart(english)
			if len(said) != len(was) {
				t.Fatalf("%s, %s: %d sentences, %d in English", name, lang, len(said), len(was))
			}
			for i, text := range said {
				if text == was[i] && text != "" || strings.Contains(text, "%!") || strings.Contains(text, "%s") {
					t.Errorf("%s, %s: %q", name, lang, text)
				}
			}
		}
	}
}

// chefsPart are the texts of the first screen.
func chefsPart(p report.Page) []string {
	all := append(slices.Clone(p.PlainVerdict()), p.Next, p.Limits, p.Heads.Now, p.Heads.Cannot, p.Heads.Partner)
	for _, x := range p.Beside {
		all = append(all, x.Head, x.Text)
	}
	return all
}
