package report

import (
	"fmt"
	"strings"

	"cloche/internal/study"
)

// contrast is how the two samples of a comparison are called in a sentence.
type contrast struct {
	subject string    // begins a sentence: "Called X, the same dish"
	than    string    // "than called Y"; "" when the study has no third sample
	short   [2]string // tell the two apart; only what differs between them
	shared  string    // what they share and other samples do not; "" for nothing
}

func contrastOf(s *study.Study, pair [2]study.SampleID) contrast {
	a, _ := s.Sample(pair[0])
	b, _ := s.Sample(pair[1])
	c := contrast{short: [2]string{shortLabel(s, a, b), shortLabel(s, b, a)}, shared: sharedLabel(s, a, b)}
	if a.Dish != b.Dish {
		c.subject, c.than = c.short[0]+bracketed(c.shared), "than "+c.short[1]
		return c
	}
	c.subject = upperFirst(calling(s, a)) + ", the same dish" + bracketed(c.shared)
	if len(s.Samples) > 2 {
		c.than = "than " + calling(s, b)
	}
	return c
}

// shortLabel names a sample by what tells it from another.
func shortLabel(s *study.Study, x, other study.Sample) string {
	dish, _ := s.Dish(x.Dish)
	name := s.NameText(x.ID)
	switch {
	case x.Dish == other.Dish && name == "":
		return "without a name"
	case x.Dish == other.Dish:
		return name
	case x.Name == other.Name || name == "":
		return dish.Title
	}
	return fmt.Sprintf("%s as %s", dish.Title, name)
}

// sharedLabel names what two samples have in common and other samples of the
// study have not.
func sharedLabel(s *study.Study, a, b study.Sample) string {
	oneDish, oneName := true, true
	for _, x := range s.Samples {
		oneDish = oneDish && x.Dish == a.Dish
		oneName = oneName && x.Name == a.Name
	}
	dish, _ := s.Dish(a.Dish)
	switch {
	case a.Dish == b.Dish && !oneDish:
		return dish.Title
	case a.Dish != b.Dish && a.Name == b.Name && !oneName && a.Name == "":
		return "both without a name"
	case a.Dish != b.Dish && a.Name == b.Name && !oneName:
		return "both as " + s.NameText(a.ID)
	}
	return ""
}

func bracketed(text string) string {
	if text == "" {
		return ""
	}
	return " (" + text + ")"
}

func calling(s *study.Study, x study.Sample) string {
	if name := s.NameText(x.ID); name != "" {
		return "called " + name
	}
	return "served without a name"
}

// between names both samples: "X and Y (what they share)".
func (c contrast) between() string {
	return c.short[0] + " and " + c.short[1] + bracketed(c.shared)
}

// minus names the difference: "X minus Y (what they share)".
func (c contrast) minus() string {
	return c.short[0] + " minus " + c.short[1] + bracketed(c.shared)
}

func upperFirst(text string) string {
	for i, r := range text {
		return strings.ToUpper(string(r)) + text[i+len(string(r)):]
	}
	return text
}
