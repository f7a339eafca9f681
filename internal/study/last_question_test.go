package study

import (
	"slices"
	"strings"
	"testing"
)

// blindPair is a study of two dishes served blind, for the last question.
const blindPair = `cloche: 1
title: Is the starch tasted?
question: samples
dishes:
  - {id: plain, title: custard, portion: 60 g, serve at: 55 °C, allergens: [milk, eggs]}
  - {id: starch, title: custard with starch, portion: 60 g, serve at: 55 °C, allergens: [milk, eggs]}
samples:
  - {id: A, dish: starch, blind: true}
  - {id: B, dish: plain, blind: true}
attributes: [{id: smooth, ask: How smooth is it?, scale: {line: [grainy, smooth]}}]
panel: {assessors: 40, last question: which}
texts: {consent: I agree., instructions: Taste., first compared: with starch, second compared: without}
analysis: {compare: [A, B], attribute: smooth}
`

func TestLastQuestionFits(t *testing.T) {
	var replaced = func(pairs ...string) string { return strings.NewReplacer(pairs...).Replace(blindPair) }
	noWords := ", first compared: with starch, second compared: without"
	cases := []struct{ name, file, want string }{
		{"which was which", blindPair, ""},
		{"one each", replaced("texts:", "serving: {design: one}\ntexts:"), ""},
		{"only what was compared", replaced("which", "compared", noWords, ""), ""},
		{"one dish or two", replaced("which", "same", noWords, ""), ""},
		{"no words", replaced(noWords, ""), "nothing says how guests know this one"},
		{"words for nothing", replaced(", last question: which", ""), "nobody would read this"},
		{"one plate each", replaced("which", "same", noWords, "", "texts:", "serving: {design: one}\ntexts:"),
			"each assessor gets one"},
		{"several times", replaced("texts:", "serving: {replicates: 2}\ntexts:"), "served several times"},
		{"several sittings", replaced("assessors: 40", "assessors: 40, sittings: 2", "texts:",
			"serving: {most per sitting: 1}\ntexts:"), "come at several"},
		{"told by name", replaced("dishes:", "names: [{id: n, text: crème}]\ndishes:", "dish: starch, blind: true",
			"dish: starch, name: n"), "read by name which is which"},
		{"a whole panel", replaced("compare: [A, B]", "compare: all"), "compares in another way"},
		{"no such question", replaced("question: which", "question: what"), `cannot be "what"; write one of`},
	}
	for _, tc := range cases {
		t.Run(tc.name, func(t *testing.T) {
			s, problems := Parse("s.yaml", []byte(tc.file))
			hit := slices.ContainsFunc(problems, func(p Problem) bool { return strings.Contains(p.Error(), tc.want) })
			if tc.want == "" && len(problems) > 0 || tc.want != "" && !hit {
				t.Fatalf("problems %v, want %q", problems, tc.want)
			}
			if s == nil {
				return
			}
			if again, problems := Parse("s.yaml", Format(s)); len(problems) > 0 || Hash(again) != Hash(s) {
				t.Errorf("written and read again: %v", problems)
			}
		})
	}
}

// The question stands in every language, and its words are not the same twice.
func TestLastQuestionInEveryLanguage(t *testing.T) {
	seen := map[string]bool{}
	for _, lang := range Spoken {
		s := &Study{Languages: []string{lang}, Panel: Panel{LastQuestion: AskSame}}
		for _, words := range []string{s.ComparedAsk(), s.GuessAsk(), s.GuessLabel(GuessSame),
			s.GuessLabel(GuessDifferent), s.GuessLabel(GuessUnknown)} {
			if words == "" || seen[words] {
				t.Errorf("%s: %q is missing, or that of another", lang, words)
			}
			seen[words] = true
		}
		if got := s.PlateLabel(2, "382"); !strings.Contains(got, "2") || !strings.Contains(got, "382") {
			t.Errorf("%s: a plate is %q", lang, got)
		}
	}
}

func TestRightGuess(t *testing.T) {
	s := &Study{Samples: []Sample{{ID: "A", Dish: "d"}, {ID: "B", Dish: "d"}, {ID: "C", Dish: "e"}},
		Plan: AnalysisPlan{Compare: [2]SampleID{"A", "B"}}, Serving: Serving{Design: All}}
	for _, tc := range []struct {
		ask    LastQuestion
		design Design
		second SampleID
		want   Guess
	}{{AskSame, All, "B", GuessSame}, {AskSame, All, "C", GuessDifferent}, {AskWhich, All, "B", "A"},
		{AskWhich, One, "B", "B"}, {AskCompared, All, "B", ""}} {
		s.Panel.LastQuestion, s.Serving.Design, s.Plan.Compare[1] = tc.ask, tc.design, tc.second
		if got := s.RightGuess("B"); got != tc.want {
			t.Errorf("%s, %s, second %s: %q is right, want %q", tc.ask, tc.design, tc.second, got, tc.want)
		}
	}
}
