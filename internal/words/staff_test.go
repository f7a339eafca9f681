package words

import (
	"regexp"
	"slices"
	"testing"
)

// putIn is what the program puts into a text.
var putIn = regexp.MustCompile(`%[.0-9]*[a-z]|\{[a-z]+\}`)

// TestStaffTextsTakeTheSame: a text of staff takes the same in every language, verbs in the same
// order, and stands there once.
func TestStaffTextsTakeTheSame(t *testing.T) {
	if n := textsTakeTheSame(t, houseFile); n < 400 {
		t.Errorf("only %d texts", n)
	}
}

// TestPaperTextsTakeTheSame: and so is one of the paragraph for a paper.
func TestPaperTextsTakeTheSame(t *testing.T) {
	if n := textsTakeTheSame(t, paperFile); n < 120 {
		t.Errorf("only %d texts", n)
	}
}

func textsTakeTheSame(t *testing.T, file string) int {
	t.Helper()
	seen := map[string]bool{}
	for _, x := range staffBlocks(file) {
		if seen[x["en"]] {
			t.Errorf("twice: %s", x["en"])
		}
		seen[x["en"]] = true
		for tag := range catalogue {
			own, en := putIn.FindAllString(x[tag], -1), putIn.FindAllString(x["en"], -1)
			if en != nil && en[0][0] == '{' { // by name, so in any order
				slices.Sort(own)
				slices.Sort(en)
			}
			if x[tag] == "" || !slices.Equal(own, en) {
				t.Errorf("%s of %q is %q", tag, x["en"], x[tag])
			}
		}
	}
	return len(seen)
}

func TestTranslate(t *testing.T) {
	for _, tc := range []struct{ got, want string }{
		{In("fr").Translate("Seat %d", 3), "Place 3"}, {In("en").Translate("Seat %d", 3), "Seat 3"},
		{In("de").Translate("Set down"), "Hingestellt"}, {In("de").Translate("no text of staff"), "no text of staff"},
	} {
		if tc.got != tc.want {
			t.Errorf("got %q, want %q", tc.got, tc.want)
		}
	}
}
