package study

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// sweetEnough is a study of two recipes that asks for liking and whether they are sweet enough.
const sweetEnough = `cloche: 1
title: Is our custard sweet enough?
question: samples
languages: [en, fr]
dishes:
  - {id: plain, title: Custard, portion: 60 g, serve at: 55 °C, allergens: [milk, eggs]}
  - {id: less, title: Custard with less sugar, portion: 60 g, serve at: 55 °C, allergens: [milk, eggs]}
samples:
  - {id: A, dish: plain, blind: true}
  - {id: B, dish: less, blind: true}
attributes:
  - id: liking
    ask: How much do you like it?
    scale: hedonic-9
  - id: sweetness
    ask: How sweet is it?
    scale: {about right: [not sweet enough, about right, too sweet]}
panel:
  assessors: 40
texts:
  consent: You taste custard with milk and eggs. You can stop at any time.
  instructions: Taste each serving and answer.
analysis:
  compare: [A, B]
  attribute: liking
  smallest effect: 0.5
translations:
  fr:
    attributes:
      liking:
        ask: Aimez-vous cela ?
      sweetness:
        ask: Est-ce assez sucré ?
        about right: [pas assez sucré, juste bien, trop sucré]
    texts:
      consent: Vous goûtez une crème au lait et aux œufs.
      instructions: Goûtez et répondez.
`

// A scale from too little to too much is read, written and translated, and the liking that it
// is held against is found where there is only one.
func TestAboutRightIsReadAndWritten(t *testing.T) {
	s, problems := Parse("s.yaml", []byte(sweetEnough))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if s.Plan.Liking != "liking" || len(s.AboutRights()) != 1 || len(s.Averaged()) != 1 {
		t.Errorf("liking %q, about right %v, averaged %v", s.Plan.Liking, s.AboutRights(), s.Averaged())
	}
	again, problems := Parse("s.yaml", Format(s))
	if diff := cmp.Diff(s, again); diff != "" || len(problems) > 0 {
		t.Errorf("written and read again: %v\n%s", problems, diff)
	}
	french := s.In("fr").Attributes[1].Scale
	if french.Kind != AboutRight || french.Labels[2] != "trop sucré" {
		t.Errorf("in French: %+v", french)
	}
	changed := *s
	changed.Plan.Liking = "other"
	if Hash(s) == Hash(&changed) {
		t.Error("what answers are held against is no part of the hash")
	}
}

// The side of every answer, of three and of five.
func TestSideOfAnswers(t *testing.T) {
	for _, labels := range []int{3, 5} {
		scale := Scale{Kind: AboutRight, Labels: make([]string, labels)}
		for v := 1; v <= labels; v++ {
			want := map[bool]int{true: TooLittle, false: TooMuch}[v <= labels/2]
			if v == labels/2+1 {
				want = JustRight
			}
			if got := scale.SideOf(float64(v)); got != want {
				t.Errorf("answer %d of %d lies on side %d, want %d", v, labels, got, want)
			}
		}
	}
}

// What answers about right do not go with is refused, where it stands, with what to write.
func TestAboutRightRefuses(t *testing.T) {
	for name, tc := range map[string]struct{ old, with, path, says string }{
		"four answers": {"right, too sweet]}", "right, a bit too sweet, too sweet]}", "attributes[1].scale.about right",
			"none is in the middle"},
		"two answers": {"not sweet enough, about", "about", "attributes[1].scale.about right", "holds 2 items"},
		"the same twice": {"right, too sweet]}", "right, About right]}", "attributes[1].scale.about right[2]",
			"twice"},
		"ends of a line": {"too sweet]}", "too sweet], from: 0}", "attributes[1].scale.from", "is for a line"},
		"categories too": {"too sweet]}", "too sweet], categories: [a, b]}", "attributes[1].scale", "something else"},
		"it decides":     {"attribute: liking", "attribute: sweetness", "analysis.attribute", "no mean"},
		"no liking": {"scale: hedonic-9", "scale: {about right: [a, b, c]}", "attributes",
			"how much it matters"},
		"it is the liking": {"attribute: liking", "attribute: liking\n  liking: sweetness", "analysis.liking",
			"no mean"},
		"replicates": {"panel:", "serving: {replicates: 2}\npanel:", "serving.replicates", "once"},
		"two may be liking": {"  - id: sweetness", "  - {id: other, ask: And now?, scale: " +
			"hedonic-9}\n  - id: sweetness",
			"analysis.liking", "nothing says which"},
		"liking of nothing": {"scale: {about right: [not sweet enough, about right, too sweet]}",
			"scale: {line: [not, very]}", "analysis.liking", "the study has none"},
	} {
		t.Run(name, func(t *testing.T) {
			text := strings.Replace(sweetEnough, tc.old, tc.with, 1)
			if name == "liking of nothing" {
				text = strings.Replace(text, "attribute: liking", "attribute: liking\n  liking: liking", 1)
			}
			_, problems := Parse("s.yaml", []byte(text))
			for _, p := range problems {
				if p.Path == tc.path && strings.Contains(p.What.String(),
					tc.says) && p.Instead.String() != "" && p.Line > 0 {
					return
				}
			}
			t.Errorf("want %s: %q; got %v", tc.path, tc.says, problems)
		})
	}
}
