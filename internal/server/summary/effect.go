package summary

import (
	"fmt"

	"cloche/internal/study"
)

// effectCompared says which effect of dishes crossed with names the plan compares.
func effectCompared(a *study.Study, on study.Attribute) string {
	p := a.Plan
	c, _ := a.Crossed()
	dishes := "over both dishes"
	if n := len(c.Dishes); n > 2 {
		dishes = fmt.Sprintf("over all %d dishes", n)
	}
	over := map[study.Factor]string{study.NameFactor: dishes,
		study.DishFactor: "over all names"}[p.EffectOf]
	switch {
	case p.EffectOf == study.NameByDish:
		return fmt.Sprintf("The main question: does what the name does depend on the dish, on “%s”?", on.Ask)
	case p.Levels == [2]string{}:
		what := map[study.Factor]string{study.NameFactor: "names", study.DishFactor: "dishes"}[p.EffectOf]
		return fmt.Sprintf("The main comparison: all %s together, %s, on “%s”.", what, over, on.Ask)
	}
	return fmt.Sprintf("The main comparison: %s minus %s, %s, on “%s”: each person’s mean.", levelWords(a, p.Levels[0]),
		levelWords(a, p.Levels[1]), over, on.Ask)
}

// levelWords names a level of the effect that the plan compares.
func levelWords(a *study.Study, level string) string {
	switch {
	case a.Plan.EffectOf == study.DishFactor:
		d, _ := a.Dish(study.DishID(level))
		return d.Title
	case level == study.Blind:
		return "no name"
	}
	n, _ := a.Name(study.NameID(level))
	return "“" + n.Text + "”"
}
