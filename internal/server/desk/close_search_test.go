package desk

import (
	"testing"

	"cloche/internal/words"
)

// TestSearchForgivesASlip: one letter wrong finds the word, another word does not.
func TestSearchForgivesASlip(t *testing.T) {
	const text = "Warm celeriac custard\nceleriac crème brûlée"
	for _, tc := range []struct {
		query string
		want  bool
	}{
		{"custrad", true},  // swapped
		{"custad", true},   // missing
		{"custtard", true}, // too many
		{"cuztard", true},  // wrong
		{"celeiric", true}, // two, in a long word
		{"celreiac custrad", true},
		{"brulée", true}, {"creme", true}, {"brulee", true}, {"crème brulée", true}, {"celériac", true},
		{"mustang", false}, {"pastry", false}, {"cat", false}, {"wam", false}, {"<b>", false}, {"?!", false},
	} {
		if got := newCloseSearch(tc.query).matches(words.Sought(text)); got != tc.want {
			t.Errorf("%q comes close: %v, want %v", tc.query, got, tc.want)
		}
	}
}

// TestSlipsAreADistance: none to itself, the same both ways, at least the difference of the
// lengths and at most the longer length.
func TestSlipsAreADistance(t *testing.T) {
	words := []string{"", "a", "ab", "ba", "custard", "custrad", "mustard", "custards", "brûlée", "brulee"}
	for _, a := range words {
		for _, b := range words {
			x, y := []rune(a), []rune(b)
			d := slipsToBeginnings(x, y)[len(x)]
			if d != slipsToBeginnings(y, x)[len(y)] || (d == 0) != (a == b) || d < max(len(x)-len(y), len(y)-len(x)) ||
				d > max(len(x), len(y)) {
				t.Errorf("%q and %q are %d slips apart", a, b, d)
			}
		}
	}
	if d := slipsToBeginnings([]rune("custard"), []rune("custrad"))[7]; d != 1 {
		t.Errorf("two neighbours that changed places are %d slips", d)
	}
}
