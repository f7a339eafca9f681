package analysis

import (
	"fmt"

	"cloche/internal/study"
)

// Label is the shortest wording that tells a sample from the study's others:
// its name, its dish or both. It is for reading after the key is opened.
func Label(s *study.Study, id study.SampleID) string {
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
		return "without a name"
	case oneDish:
		return name
	}
	return fmt.Sprintf("%s as %s", dish.Title, name)
}
