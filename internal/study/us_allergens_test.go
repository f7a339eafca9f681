package study

import (
	"slices"
	"strings"
	"testing"
)

// The nine of US law: FALCPA (2004), section 203, lists eight; the FASTER Act
// (2021), section 2, adds sesame. From memory.
func TestUSAllergens(t *testing.T) {
	nine := []string{"milk", "eggs", "fish", "crustacean shellfish", "tree nuts", "wheat", "peanuts", "soybeans",
		"sesame"}
	from := map[Allergen]int{}
	var got []string
	for _, x := range USAllergens {
		got = append(got, string(x.ID))
		from[x.From]++
	}
	slices.Sort(nine)
	slices.Sort(got)
	if !slices.Equal(got, nine) {
		t.Errorf("the nine are %q, want %q", got, nine)
	}
	for _, a := range Allergens {
		words, listed := a.ID.US()
		if listed != (from[a.ID] == 1) || strings.HasPrefix(words, "not one") == listed {
			t.Errorf("%s: %q, listed %v, held by %d of the nine", a.ID, words, listed, from[a.ID])
		}
		delete(from, a.ID)
	}
	if len(from) > 0 {
		t.Errorf("none of the 14: %v", from)
	}
	for _, a := range []Allergen{"molluscs", "mustard", "celery", "lupin", "sulphites"} {
		if words, listed := a.US(); listed {
			t.Errorf("%s is among the nine: %q", a, words)
		}
	}
	if words, _ := Allergen("eggs").US(); words != "eggs are one of the 9 of US law" {
		t.Errorf("eggs: %q", words)
	}
	if words, _ := Allergen("gluten").US(); !strings.Contains(words, "which cereal") {
		t.Errorf("gluten: %q", words)
	}
}
