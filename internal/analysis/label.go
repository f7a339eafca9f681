package analysis

import "cloche/internal/study"

// Say puts a text, which stands in English where it is used, into a language, and what is
// formatted into its verbs. English is [fmt.Sprintf].
type Say func(english string, values ...any) string

// Label is the shortest wording that tells a sample from the study's others:
// its name, its dish or both. It is for reading after the key is opened.
func Label(s *study.Study, id study.SampleID) string { return LabelSaid(s, id).String() }

// LabelIn is [Label] in a language.
func LabelIn(s *study.Study, id study.SampleID, say Say) string {
	text, values := LabelSaid(s, id).Parts()
	return say(text, values...)
}

// LabelSaid is [Label] for every language.
func LabelSaid(s *study.Study, id study.SampleID) study.Said {
	x, _ := s.Sample(id)
	dish, _ := s.Dish(x.Dish)
	name := s.NameText(id)
	oneDish, oneName := true, true
	for _, other := range s.Samples {
		oneDish = oneDish && other.Dish == x.Dish
		oneName = oneName && other.Name == x.Name
	}
	switch {
	case oneName || name == "" && !oneDish:
		return study.Say("%s", dish.Title)
	case oneDish && name == "":
		return study.Say("without a name")
	case oneDish:
		return study.Say("%s", name)
	}
	return study.Say("%s as %s", dish.Title, name)
}
