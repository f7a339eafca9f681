package analysis

import (
	"fmt"

	"cloche/internal/study"
)

// Say puts a text, which stands in English where it is used, into a language, and what is
// formatted into its verbs. English is [fmt.Sprintf].
type Say func(english string, values ...any) string

// Label is the shortest wording that tells a sample from the study's others:
// its name, its dish or both. It is for reading after the key is opened.
func Label(s *study.Study, id study.SampleID) string { return LabelIn(s, id, fmt.Sprintf) }

// LabelIn is [Label] in a language.
func LabelIn(s *study.Study, id study.SampleID, say Say) string {
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
		return dish.Title
	case oneDish && name == "":
		return say("without a name")
	case oneDish:
		return name
	}
	return say("%s as %s", dish.Title, name)
}
