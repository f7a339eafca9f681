package words

import (
	"slices"
	"testing"
)

func TestSoughtForgivesAccents(t *testing.T) {
	want := []string{"l", "etude", "a", "l", "aveugle", "63", "c", "oeufs", "gross"}
	if got := Sought("L’étude, À l’aveugle : 63 °C, Œufs, groß"); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
