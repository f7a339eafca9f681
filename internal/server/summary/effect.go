package summary

import (
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// effectCompared says which effect of dishes crossed with names the plan compares.
func effectCompared(w site.Tongue, a *study.Study, on study.Attribute) string {
	p := a.Plan
	c, _ := a.Crossed()
	dishes := w.Translate("over both dishes")
	if n := len(c.Dishes); n > 2 {
		dishes = w.Translate("over all %d dishes", n)
	}
	over := map[study.Factor]string{study.NameFactor: dishes,
		study.DishFactor: w.Translate("over all names")}[p.EffectOf]
	switch {
	case p.EffectOf == study.NameByDish:
		return w.Translate("The main question: does what the name does depend on the dish, on “%s”?", on.Ask)
	case p.Levels == [2]string{}:
		what := map[study.Factor]string{study.NameFactor: w.Translate("names"),
			study.DishFactor: w.Translate("dishes")}[p.EffectOf]
		return w.Translate("The main comparison: all %s together, %s, on “%s”.", what, over, on.Ask)
	}
	return w.Translate("The main comparison: %s minus %s, %s, on “%s”: each person’s mean.", levelWords(w, a,
		p.Levels[0]),
		levelWords(w, a, p.Levels[1]), over, on.Ask)
}

// levelWords names a level of the effect that the plan compares.
func levelWords(w site.Tongue, a *study.Study, level string) string {
	switch {
	case a.Plan.EffectOf == study.DishFactor:
		d, _ := a.Dish(study.DishID(level))
		return d.Title
	case level == study.Blind:
		return w.Translate("no name")
	}
	n, _ := a.Name(study.NameID(level))
	return "“" + n.Text + "”"
}
