package desk_test

import (
	"strings"
	"testing"

	"cloche/internal/server/servertest"
)

// TestLeadIsToldThatNamesAreReadFirst on the page of a draft.
func TestLeadIsToldThatNamesAreReadFirst(t *testing.T) {
	f := servertest.New(t)
	blind := strings.Replace(servertest.Expecting, "samples:\n",
		"samples:\n  - {id: blind, dish: canarydish, blind: true}\n", 1)
	for file, warned := range map[string]bool{servertest.Expecting: false, blind: true} {
		text := f.Lead().Get("/studies/" + string(f.Uploaded(file))).HTML().Find("main").Text()
		if !strings.Contains(text, "each reads every name that they will meet") ||
			!strings.Contains(text, "As exploration: what was expected") {
			t.Errorf("the draft does not say that names are read first: %s", text)
		}
		if got := strings.Contains(text, "Blind servings come after that too"); got != warned {
			t.Errorf("a warning that blind servings come after: %t, want %t", got, warned)
		}
	}
}
