package study

import "slices"

// Factor is what crossed samples are made of: the dish, its name, or how the one depends on
// the other.
type Factor string

// The factors.
const (
	NameFactor Factor = "name"
	DishFactor Factor = "dish"
	NameByDish Factor = "name by dish" // does what the name does depend on the dish? (their interaction)
)

// Blind is the level of the name of samples that are served without one.
const Blind = "blind"

// Crossed is a table of samples: every dish under every name, one sample each.
type Crossed struct {
	Dishes, Names []string     // ids, in the order of the study; [Blind] for served without a name
	Cells         [][]SampleID // by dish, then by name
}

// Crossed is the table that the samples of a study form; not ok where they form none of
// two dishes and two names at least, or a name of it has the id “blind”.
func (s *Study) Crossed() (Crossed, bool) {
	var c Crossed
	named := false
	for _, x := range s.Samples {
		if !slices.Contains(c.Dishes, string(x.Dish)) {
			c.Dishes = append(c.Dishes, string(x.Dish))
		}
		if !slices.Contains(c.Names, nameLevel(x)) {
			c.Names = append(c.Names, nameLevel(x))
		}
		named = named || x.Name == Blind
	}
	if len(c.Dishes) < 2 || len(c.Names) < 2 || len(s.Samples) != len(c.Dishes)*len(c.Names) || named {
		return Crossed{}, false
	}
	for _, dish := range c.Dishes {
		row := make([]SampleID, len(c.Names))
		for _, x := range s.Samples {
			if string(x.Dish) == dish {
				row[slices.Index(c.Names, nameLevel(x))] = x.ID
			}
		}
		if slices.Contains(row, "") { // as many samples as cells, and two in one of them
			return Crossed{}, false
		}
		c.Cells = append(c.Cells, row)
	}
	return c, true
}

func nameLevel(x Sample) string {
	if x.Name == "" {
		return Blind
	}
	return string(x.Name)
}

// Levels are those of the name or of the dish.
func (c Crossed) Levels(f Factor) []string {
	if f == DishFactor {
		return c.Dishes
	}
	return c.Names
}

// Others are the levels of the other factor: over which the effect of this one is taken.
func (c Crossed) Others(f Factor) []string {
	if f == DishFactor {
		return c.Names
	}
	return c.Dishes
}

// At are the samples at a level of the name or the dish, in the order of the other.
func (c Crossed) At(f Factor, level string) []SampleID {
	if f == DishFactor {
		return c.Cells[slices.Index(c.Dishes, level)]
	}
	at := make([]SampleID, len(c.Dishes))
	for i, row := range c.Cells {
		at[i] = row[slices.Index(c.Names, level)]
	}
	return at
}

// IsContrast reports whether an effect is one difference, so that it has a size and a
// direction: of two levels, or of the difference of two differences.
func (c Crossed) IsContrast(p AnalysisPlan) bool {
	if p.EffectOf == NameByDish {
		return len(c.Dishes) == 2 && len(c.Names) == 2
	}
	return p.Levels != [2]string{}
}
