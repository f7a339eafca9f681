package study

import "fmt"

// Profile asks what each of several samples is like, on many attributes (ISO 13299).
const Profile Question = "sensory-profile"

var profile = QuestionKind{
	ID:    Profile,
	Title: "What is each of them like?",
	Asks:  "What is each sample like, and do the assessors agree on it?",
	ChooseIf: "Choose it when a small panel that has practised rates three samples or more on every attribute, " +
		"better twice or three times each.",
	Example:  "Four celeriac custards: which is smoky, which is sweet, and does our own panel taste alike?",
	Response: Rate, Servings: 1, Counts: collectsRatings, Describes: true,
	Samples: fewestProfiled, MostSamples: mostProfiled, WhyBlind: foodAlone,
	Attributes: SomeRated, Designs: onlyAll, Sides: []Sides{TwoSided},
	PlanKeys: []string{"attribute", "smallest effect", "adjust"}, fits: profileFits,
}

// Two samples are a pair, for which there are tests of two; more than eight, two or three
// times each, are more than a small panel does in its sittings (common practice, no source).
const (
	fewestProfiled = 3
	mostProfiled   = 8
)

// profileFits refuses what cannot be drawn as a profile: one attribute alone, and answers
// that have no mean.
func profileFits(r *reader, s *Study) {
	if len(s.Attributes) == 1 && r.sound("attributes") {
		r.reject("attributes", Say("one attribute is no profile"), Say("write two or more, or question: samples"))
	}
	for i, a := range s.Attributes {
		if path := fmt.Sprintf("attributes[%d].scale", i); a.Scale.Kind != "" && !a.Scale.Averages() && r.sound(path) {
			r.reject(path, Say("a profile is made of means, and answers of %s have none", a.ID),
				Say("write a line, or ask it in a samples study"))
		}
	}
}
