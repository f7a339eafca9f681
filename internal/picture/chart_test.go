package picture

import (
	"strings"
	"testing"
)

// The labels of an axis are its round steps: no step has a minus that is 0, a formatter puts
// its sign behind, and what an option hides at an end stays hidden.
func TestTicks(t *testing.T) {
	hidden := false
	first := axis{Type: "value", Min: -20, Max: 100, MaxInterval: 20}
	first.AxisLabel.Formatter, first.AxisLabel.ShowMinLabel = "{value} %", &hidden
	for want, a := range map[string]axis{
		"0 20 40 60 80 100":              {Type: "value", Min: 0, Max: 100},
		"−10 0 10":                       {Type: "value", Min: -10, Max: 10, MaxInterval: 10},
		" 0 % 20 % 40 % 60 % 80 % 100 %": first,
		"0 0.1 0.2 0.3":                  {Type: "value", Min: -1e-12, Max: 0.3, MaxInterval: 0.1},
		"royale brûlée":                  {Type: "category", Data: []string{"royale", "brûlée"}},
	} {
		var got []string
		for _, x := range a.ticks() {
			got = append(got, x.text)
		}
		if said := strings.Join(got, " "); said != want {
			t.Errorf("%q, want %q", said, want)
		}
	}
}

// What is wrapped is no longer than its line, and nothing of it is lost.
func TestWrapped(t *testing.T) {
	s := Style{Size: 20}
	const text = "Called celeriac crème brûlée, the same dish was rated Donaudampfschifffahrtsgesellschaft"
	lines := Wrapped(text, s, 150)
	for _, l := range lines {
		if Length(l, s) > 150 {
			t.Errorf("%q is longer than its line", l)
		}
	}
	if strings.ReplaceAll(strings.Join(lines, ""), " ", "") != strings.ReplaceAll(text, " ", "") {
		t.Errorf("something is lost: %q", lines)
	}
}

// A number stays on a line with its unit where the two are held together.
func TestWrappedHoldsAUnit(t *testing.T) {
	s := Style{Size: 20}
	width := Length("de goûteurs 74", s) + 1 // the sign has no room beside the number
	if got := Wrapped("de goûteurs 74\u00a0%", s, width); len(got) != 2 || got[1] != "74\u00a0%" {
		t.Errorf("%q", got)
	}
}
