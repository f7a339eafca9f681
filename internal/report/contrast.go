package report

import (
	"strings"

	"cloche/internal/study"
)

// contrast is how the two samples of a comparison are called in a sentence.
type contrast struct {
	subject study.Said    // begins a sentence: "Called X, the same dish"
	than    study.Said    // "than called Y"; none when the study has no third sample
	short   [2]study.Said // tell the two apart; only what differs between them
	shared  study.Said    // what they share and other samples do not; none for nothing
}

func contrastOf(s *study.Study, pair [2]study.SampleID) contrast {
	a, _ := s.Sample(pair[0])
	b, _ := s.Sample(pair[1])
	c := contrast{short: [2]study.Said{shortLabel(s, a, b), shortLabel(s, b, a)}, shared: sharedLabel(s, a, b)}
	if a.Dish != b.Dish {
		c.subject, c.than = study.Say("%s%s", c.short[0], bracketed(c.shared)), study.Say("than %s", c.short[1])
		return c
	}
	c.subject = study.Say("Served without a name, the same dish%s", bracketed(c.shared))
	if name := s.NameText(a.ID); name != "" {
		c.subject = study.Say("Called %s, the same dish%s", name, bracketed(c.shared))
	}
	if len(s.Samples) > 2 {
		c.than = study.Say("than served without a name")
		if name := s.NameText(b.ID); name != "" {
			c.than = study.Say("than called %s", name)
		}
	}
	return c
}

// shortLabel names a sample by what tells it from another.
func shortLabel(s *study.Study, x, other study.Sample) study.Said {
	dish, _ := s.Dish(x.Dish)
	name := s.NameText(x.ID)
	switch {
	case x.Dish == other.Dish && name == "":
		return study.Say("without a name")
	case x.Dish == other.Dish:
		return typed(name)
	case x.Name == other.Name || name == "":
		return typed(dish.Title)
	}
	return study.Say("%s as %s", dish.Title, name)
}

// typed is what somebody typed: it is the same in every language.
func typed(text string) study.Said { return study.Say("%s", text) }

// sharedLabel names what two samples have in common and other samples of the
// study have not.
func sharedLabel(s *study.Study, a, b study.Sample) study.Said {
	oneDish, oneName := true, true
	for _, x := range s.Samples {
		oneDish = oneDish && x.Dish == a.Dish
		oneName = oneName && x.Name == a.Name
	}
	dish, _ := s.Dish(a.Dish)
	switch {
	case a.Dish == b.Dish && !oneDish:
		return typed(dish.Title)
	case a.Dish != b.Dish && a.Name == b.Name && !oneName && a.Name == "":
		return study.Say("both without a name")
	case a.Dish != b.Dish && a.Name == b.Name && !oneName:
		return study.Say("both as %s", s.NameText(a.ID))
	}
	return study.Said{}
}

func bracketed(said study.Said) study.Said {
	if said.Text == "" {
		return said
	}
	return study.Say(" (%s)", said)
}

// between names both samples: "X and Y (what they share)".
func (c contrast) between() study.Said {
	return study.Say("%s and %s%s", c.short[0], c.short[1], bracketed(c.shared))
}

// minus names the difference: "X minus Y (what they share)".
func (c contrast) minus() string {
	return study.Say("%s minus %s%s", c.short[0], c.short[1], bracketed(c.shared)).String()
}

// names are both in English.
func (c contrast) names() [2]string { return [2]string{c.short[0].String(), c.short[1].String()} }

func upperFirst(text string) string {
	for i, r := range text {
		return strings.ToUpper(string(r)) + text[i+len(string(r)):]
	}
	return text
}
