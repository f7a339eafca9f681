package study

import (
	"slices"
	"testing"
)

// TestNameIsFoundInLettersOfAnyCase, wherever it stands by itself, and not within a word.
func TestNameIsFoundInLettersOfAnyCase(t *testing.T) {
	for name, texts := range map[string]map[string]bool{
		"royale":  {"Royale": true, "a ROYALE?": true, "a royale": true, "royales": false, "royal e": false},
		"ROYALE":  {"royale royales": true, "royales royale": true, "aroyale": false, "": false},
		"a.b":     {"(A.B)": true, "axb": false, "a.b2": false},
		"οδός":    {"ΟΔΌΣ": true, "οδόσ.": true, "ιοδός": false},
		"Kassler": {"\u212aaßler": false, "\u212aas\u017fler": true},
		"Soße":    {"SOẞE": true, "SOSSE": false},
		"":        {"": false, "a": false},
	} {
		for words, found := range texts {
			r := &reader{lines: []string{""}, bad: map[string]bool{}}
			r.revealedIn([]Name{{Text: name}}, []text{{"other", "nothing"}, {"texts.welcome", words}})
			var at []string
			for _, p := range r.problems {
				at = append(at, p.Path)
			}
			if want := map[bool][]string{true: {"texts.welcome"}}[found]; !slices.Equal(at, want) {
				t.Errorf("%q in %q: found at %q, want %q", name, words, at, want)
			}
		}
	}
}
