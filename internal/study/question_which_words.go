package study

import "fmt"

// WhichWords asks of each serving which words of a list fit it: everybody ticks all that do.
const WhichWords Question = "which-words"

var whichWords = QuestionKind{
	ID:    WhichWords,
	Title: "Which words fit?",
	Asks:  "Which words do assessors tick for each sample?",
	ChooseIf: "Choose it when you want to know what guests would call it: everybody tastes each version by itself " +
		"and ticks every word of your list that fits. It says what sets versions apart, not how strong it is.",
	Example:  "Which words do guests tick for three celeriac custards: smooth, grainy, salty, of butter?",
	Response: TickWords, Servings: 1, Counts: "counts who ticks which word",
	Attributes: SomeRated, Designs: onlyAll, Sides: []Sides{TwoSided}, PlanKeys: []string{"smallest effect"},
	fits: func(r *reader, s *Study) {
		r.listAndRating(s)
		if s.Serving.Replicates > 1 && r.sound("serving.replicates") {
			r.reject("serving.replicates", Say("each assessor ticks the words of each sample once"),
				Say("write replicates: 1, or leave the line out"))
		}
		r.refuse("expectation", Say("words are ticked for what is tasted, not for a name that is read"),
			Say("leave the line out"))
	},
}

// ticking is the question that is answered by ticking words.
func ticking() Question {
	for _, k := range questions {
		if k.Response == TickWords {
			return k.ID
		}
	}
	return ""
}

// listAndRating holds that there is one list of words, and at most one rating beside it:
// of how words go with liking more would be a search.
func (r *reader) listAndRating(s *Study) {
	if !r.sound("attributes") {
		return
	}
	const one = "write one list: scale: {words: [smooth, grainy, salty]}"
	lists, rated := 0, 0
	for i, a := range s.Attributes {
		path := fmt.Sprintf("attributes[%d].scale", i)
		if !r.sound(path) || !r.sound(path+".words") || a.Scale.Kind == "" {
			return
		}
		if a.Scale.Kind == WordList {
			lists++
		} else {
			rated++
		}
		switch {
		case a.Scale.Kind == AboutRight:
			r.reject(path, Say("the rating beside the words is averaged, and a mean of answers about right means "+
				"nothing"),
				Say("write a line, categories or hedonic-9"))
			return
		case lists > 1 && a.Scale.Kind == WordList:
			r.reject(path, Say("a second list of words"), Say(one))
			return
		case rated > 1 && a.Scale.Kind != WordList:
			r.reject(path, Say("a second rating beside the words"), Say("write one, such as of liking, or none"))
			return
		}
	}
	if lists == 0 && len(s.Attributes) > 0 {
		r.reject("attributes", Say("no attribute has a list of words to tick"), Say(one))
	}
}

// nameTicks puts the id of the list in front of the words that are ticked in it.
func (a *Attribute) nameTicks() {
	for i, word := range a.Scale.Ticks {
		a.Scale.Ticks[i] = a.ID + "." + word
	}
}

// Words is the list that is ticked; false where none is.
func (s *Study) Words() (Attribute, bool) {
	for _, a := range s.Attributes {
		if a.Scale.Kind == WordList {
			return a, true
		}
	}
	return Attribute{}, false
}

// RatedBeside are the attributes that are rated on a scale, beside a list of words if
// there is one.
func (s *Study) RatedBeside() []Attribute {
	var rated []Attribute
	for _, a := range s.Attributes {
		if a.Scale.Kind != WordList {
			rated = append(rated, a)
		}
	}
	return rated
}

// Answered are the attributes that answers are written under: those of the study, each
// word of a list in the place of the list.
func (s *Study) Answered() []Attribute {
	var all []Attribute
	for _, a := range s.Attributes {
		if a.Scale.Kind != WordList {
			all = append(all, a)
			continue
		}
		for i, id := range a.Scale.Ticks {
			all = append(all, Attribute{ID: id, Ask: a.Scale.Labels[i], Scale: Scale{Kind: Ticked}})
		}
	}
	return all
}
