package builder

import (
	"slices"

	"cloche/internal/study"
)

// effectPath is where the study file says which effect of crossed samples decides.
const effectPath = "analysis.effect of"

// crossed is the table that the samples form where an effect over it may decide.
func (b *builder) crossed() (study.Crossed, bool) {
	c, ok := b.asked.Crossed()
	return c, ok && b.asked.Question.Kind().Plans("effect of") && b.asked.Serving.Design != study.One &&
		!b.asked.Plan.WholePanel
}

// effectField asks which effect decides: what is asked of most people at once stands
// first, one pair of samples last.
func (b *builder) effectField(c study.Crossed) buildField {
	f := b.choose(choice, effectPath, "What decides?", "", "",
		option{Value: string(study.NameFactor), Label: "What the name does, over all dishes",
			Hint: "each person’s ratings of a name are averaged over the dishes, so that it takes fewer people " +
				"than one pair"},
		option{Value: string(study.DishFactor), Label: "What the dish does, over all names",
			Hint: "the same the other way round"},
		option{Value: string(study.NameByDish), Label: "Whether what the name does depends on the dish",
			Hint: "takes many more people for a difference of the same size"},
		option{Value: "", Label: "One pair of samples", Hint: "the others are reported beside it"})
	f.writeTo = func(b *builder, sent []string) error { return b.setEffect(c, study.Factor(sent[0])) }
	return f
}

// setEffect writes another effect, with levels to begin with, and takes out a test that
// does not go with it.
func (b *builder) setEffect(c study.Crossed, f study.Factor) error {
	if err := b.text.Remove("analysis.compare"); err != nil {
		return err
	}
	if err := b.text.Remove("analysis.test"); err != nil {
		return err
	}
	set := func(first, second string) error {
		return b.text.SetList("analysis.compare", []string{first, second})
	}
	if f == "" {
		if err := b.text.Remove(effectPath); err != nil {
			return err
		}
		return set(string(c.Cells[0][0]), string(c.Cells[0][1]))
	}
	if err := b.text.Set(effectPath, string(f)); err != nil {
		return err
	}
	if f == study.NameByDish {
		return b.text.Set("analysis.compare", "all")
	}
	levels := slices.Clone(c.Levels(f))
	if len(levels) > 2 { // names against each other, before no name
		levels = slices.DeleteFunc(levels, func(x string) bool { return x == study.Blind })
	}
	return set(levels[0], levels[1])
}

// levelFields ask which two names or dishes are compared, or whether all are.
func (b *builder) levelFields(c study.Crossed) []buildField {
	f := b.asked.Plan.EffectOf
	if f == study.NameByDish {
		return nil
	}
	levels, all := c.Levels(f), b.text.Value("analysis.compare") == "all"
	options := []option{{Label: "Choose one"}}
	for _, x := range levels {
		options = append(options, option{Value: x, Label: b.levelLabel(f, x), Typed: true})
	}
	this := map[study.Factor]string{study.NameFactor: "This name", study.DishFactor: "This dish"}[f]
	first := slices.Clone(options)
	if len(levels) > 2 {
		first = append(first, option{Value: "all", Label: "all together: are they all alike?"})
	}
	usual := ""
	if all {
		usual = "all"
	}
	one := b.choose(pick, "analysis.compare[0]", this, "", usual, first...)
	one.writeTo = func(b *builder, sent []string) error { return b.setLevel(f, 0, sent[0]) }
	if all && len(levels) > 2 {
		return []buildField{one}
	}
	two := b.choose(pick, "analysis.compare[1]", "against this one",
		"The result is the first minus the second: above zero means that the first was rated higher.", "", options...)
	two.writeTo = func(b *builder, sent []string) error { return b.setLevel(f, 1, sent[0]) }
	return []buildField{one, two}
}

// setLevel writes one of the two levels; not where the form changed the effect too, for
// then it is of the other factor.
func (b *builder) setLevel(f study.Factor, i int, level string) error {
	if b.text.Value(effectPath) != string(f) {
		return nil
	}
	all := b.text.Value("analysis.compare") == "all"
	if level != "all" && !all {
		return b.setItem("analysis.compare", i, 2, level)
	}
	if err := b.text.Remove("analysis.test"); err != nil { // of two, or of all
		return err
	}
	if level == "all" {
		return b.text.Set("analysis.compare", "all")
	}
	c, _ := b.asked.Crossed()
	other := slices.DeleteFunc(slices.Clone(c.Levels(f)), func(x string) bool { return x == level })
	if err := b.text.Remove("analysis.compare"); err != nil {
		return err
	}
	return b.text.SetList("analysis.compare", []string{level, other[0]})
}

func (b *builder) levelLabel(f study.Factor, level string) string {
	switch {
	case f == study.DishFactor:
		d, _ := b.asked.Dish(study.DishID(level))
		return d.Title
	case level == study.Blind:
		return b.say("without a name")
	}
	n, _ := b.asked.Name(study.NameID(level))
	return "“" + n.Text + "”"
}

// effectTests are the tests that go with the effect of the plan.
func (b *builder) effectTests(c study.Crossed) []option {
	model := option{Value: string(study.MixedF), Label: "In a mixed model, by every rating"}
	switch {
	case b.asked.Serving.Design == study.Some:
		return []option{model}
	case !c.IsContrast(b.asked.Plan):
		return []option{b.testOption(study.RMAnova, "%s: the usual one"), model}
	}
	return []option{
		b.testOption(study.PairedT, "%s of each person’s own means: the usual one"),
		b.testOption(study.SignedRank, "%s: by ranks"),
		b.testOption(study.Equivalence, sameAsk),
		model,
	}
}
