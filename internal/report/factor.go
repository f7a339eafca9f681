package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// factorKind tells what one factor of crossed samples does over the other.
var factorKind = kind{factorVerdict, factorAsked, factorRow, factorFigures}

// Effects is the part of the page on dishes crossed with names, on one attribute.
type Effects struct {
	Ask  string
	Rows []Row
}

// contrastIn is how the two things that a finding compares are called in a sentence.
func contrastIn(s *study.Study, f analysis.Finding) contrast {
	if f.Kind == analysis.KindFactor {
		return factorContrast(s, f)
	}
	return contrastOf(s, f.Two())
}

func factorContrast(s *study.Study, f analysis.Finding) contrast {
	x := f.Factor
	over := overWords(x.Table, x.Factor)
	switch {
	case x.Factor == study.NameByDish && x.Contrast:
		return contrast{short: [2]study.Said{levelWord(s, study.DishFactor, x.Table.Dishes[0]),
			levelWord(s, study.DishFactor, x.Table.Dishes[1])}}
	case !x.Contrast:
		return contrast{}
	}
	c := contrast{short: [2]study.Said{levelWord(s, x.Factor, x.Levels[0]), levelWord(s, x.Factor, x.Levels[1])},
		shared: over}
	c.subject = study.Say("%s, %s", over, levelSubject(s, x.Factor, x.Levels[0]))
	c.than = study.Say("than %s", levelSubject(s, x.Factor, x.Levels[1]))
	return c
}

// levelWord is a name or a dish as it is called.
func levelWord(s *study.Study, f study.Factor, level string) study.Said {
	if f == study.DishFactor {
		d, _ := s.Dish(study.DishID(level))
		return typed(d.Title)
	}
	if level == study.Blind {
		return study.Say("without a name")
	}
	n, _ := s.Name(study.NameID(level))
	return typed(n.Text)
}

// levelSubject is [levelWord] as what a sentence speaks of.
func levelSubject(s *study.Study, f study.Factor, level string) study.Said {
	switch {
	case f == study.DishFactor:
		return levelWord(s, f, level)
	case level == study.Blind:
		return study.Say("what had no name")
	}
	return study.Say("what was called %s", levelWord(s, f, level))
}

// overWords says over what an effect is taken.
func overWords(c study.Crossed, f study.Factor) study.Said {
	others := c.Others(f)
	n := len(others)
	switch blind := f == study.DishFactor && slices.Contains(others, study.Blind); {
	case blind && n == 2:
		return study.Say("with a name and without")
	case blind && n == 3:
		return study.Say("over both names and without one")
	case blind:
		return study.Say("over all %d names and without one", n-1)
	case f == study.DishFactor && n == 2:
		return study.Say("over both names")
	case f == study.DishFactor:
		return study.Say("over all %d names", n)
	case n == 2:
		return study.Say("over both dishes")
	}
	return study.Say("over all %d dishes", n)
}

// factorVerdict says what a factor does.
func factorVerdict(s *study.Study, f analysis.Finding) []study.Said {
	t := teller{s: s, f: f, c: contrastIn(s, f)}
	t.a, _ = s.Attribute(f.Attribute)
	switch x := f.Factor; {
	case !x.Contrast:
		return t.together()
	case f.N == 0:
		return []study.Said{study.Say("No answer on “%s”: nobody rated every sample that this is made of.", t.a.Ask)}
	case math.IsNaN(f.Value):
		return []study.Said{study.Say("No answer on “%s”: a model of these ratings cannot tell.", t.a.Ask)}
	case x.Factor == study.NameByDish:
		return t.dependence()
	}
	return t.compared()
}

// byModel reports whether an effect was found in the model alone, of no single person.
func (t teller) byModel() bool {
	return t.f.Kind == analysis.KindFactor && len(t.f.Pair.Each) == 0 || t.f.Measure == method.ModelDifference
}

// dependence says whether what the name does depends on the dish, of two by two.
func (t teller) dependence() []study.Said {
	f := t.f
	if f.Verdict.Code == analysis.TooFew {
		return []study.Said{study.Say("Too few to say on “%s” whether what the name does depends on the dish: %s "+
			"rated every "+
			"sample, and a verdict takes at least %d.", t.a.Ask, people(f.N), analysis.Fewest(t.s.Plan.Alpha))}
	}
	if f.Verdict.Different() {
		return []study.Said{study.Say("What the name does depends on the dish, on “%s”: %s.", t.a.Ask, t.apart()),
			t.movedMore(), t.sure(), t.acted(), t.hint(), partners(t.againstTest()), partners(t.holdsZero()),
			partners(t.otherTest()), partners(t.numbers())}
	}
	if f.N == f.Pair.Moved.Same {
		return []study.Said{study.Say("No dependence at all on “%s”: for each of %s the name did the same with "+
			"both dishes, so "+
			"there is nothing to test.", t.a.Ask, people(f.N))}
	}
	first := study.Say("It is not shown on “%s” that what the name does depends on the dish: %s.", t.a.Ask, t.apart())
	return []study.Said{first, t.movedMore(), t.sameInBoth(), partners(t.leavesOutZero()), partners(t.numbers())}
}

// apart gives what the name does in each of the two dishes, and how far that is apart.
func (t teller) apart() study.Said {
	x, n := t.f.Factor, decimalsFor(t.a.Scale)
	names := study.Say("%s against %s", levelWord(t.s, study.NameFactor, x.Table.Names[0]),
		levelWord(t.s, study.NameFactor, x.Table.Names[1]))
	if t.byModel() { // which gives the difference alone
		return study.Say("%s, %s minus %s: %s", names, t.c.short[0], t.c.short[1], t.amount())
	}
	return study.Say("%s made %s on average with %s and %s with %s, a difference of %s", names,
		signedFigure(t.f.Pair.Means[0], n), t.c.short[0], signedFigure(t.f.Pair.Means[1], n), t.c.short[1],
		t.amount())
}

// movedMore counts for whom the name did more in the first dish.
func (t teller) movedMore() study.Said {
	m := t.f.Pair.Moved
	if t.byModel() {
		return study.Said{}
	}
	return study.Say("For %d of %s it came out higher with %s, for %d higher with %s, for %d the same.", m.Up,
		people(t.f.N), t.c.short[0], m.Down, t.c.short[1], m.Same)
}

// sameInBoth says what it means that no dependence was found.
func (t teller) sameInBoth() study.Said {
	if t.f.Verdict.Code == analysis.Alike {
		return study.Say("Any difference between the two is smaller than %s: what the name does is practically "+
			"the same with both.", t.worth())
	}
	return study.Say("This does not show that it does the same with both.")
}

// together says whether more than two names or dishes differ, or whether what names do
// depends on the dish.
func (t teller) together() []study.Said {
	f, x := t.f, t.f.Factor
	over := overWords(x.Table, x.Factor)
	what := study.Say("the %d names", len(x.Levels))
	switch {
	case x.Factor == study.DishFactor:
		what = study.Say("the %d dishes", len(x.Levels))
	case slices.Contains(x.Levels, study.Blind):
		what = study.Say("the %d names and no name", len(x.Levels)-1)
	}
	numbers := fmt.Sprintf("In numbers: %s.", pPhrase(f.Test.Deciding()))
	if f.Test.P != f.Test.Deciding() {
		numbers = fmt.Sprintf("In numbers: adjusted %s.", pPhrase(f.Test.Deciding()))
	}
	if math.IsNaN(f.Test.P) {
		numbers = "There is no scatter between people to hold it against, so that nothing was tested."
	}
	byDish := x.Factor == study.NameByDish
	switch {
	case f.N == 0:
		return []study.Said{study.Say("No answer on “%s”: nobody rated every sample that this is made of.", t.a.Ask)}
	case f.Verdict.Code == analysis.TooFew:
		return []study.Said{study.Say("Too few to say on “%s”: %s rated every sample that this is made of, and a "+
			"verdict takes at "+
			"least %d.", t.a.Ask, people(f.N), analysis.Fewest(t.s.Plan.Alpha))}
	case byDish && f.Verdict.Different():
		return []study.Said{study.Say("What the name does depends on the dish, on “%s”; the figure and the table "+
			"say how.",
			t.a.Ask), partners(t.otherTest()), partners(numbers)}
	case byDish:
		return []study.Said{study.Say("It is not shown on “%s” that what the name does depends on the dish.",
			t.a.Ask),
			study.Say("This does not show that it does the same with all."), partners(numbers)}
	case f.Verdict.Different():
		return []study.Said{study.Say("%s, %s are not all alike on “%s”: %s.", over, what, t.a.Ask,
			t.levelEnds()),
			partners(t.otherTest()), partners(numbers)}
	}
	return []study.Said{study.Say("%s, no clear difference among %s on “%s”: %s.", over, what, t.a.Ask,
		t.levelEnds()), study.Say("A difference was not shown, and it was not ruled out either."), partners(numbers)}
}

// levelEnds names the levels with the highest and the lowest mean of all who rated them.
func (t teller) levelEnds() study.Said {
	x, n := t.f.Factor, decimalsFor(t.a.Scale)
	mean := func(level string) float64 {
		sum := 0.0
		at := x.Table.At(x.Factor, level)
		for _, e := range x.Cells {
			if slices.Contains(at, e.Sample) {
				sum += e.Mean / float64(len(at))
			}
		}
		return sum
	}
	top, bottom := x.Levels[0], x.Levels[0]
	for _, level := range x.Levels {
		if mean(level) > mean(top) {
			top = level
		}
		if mean(level) < mean(bottom) {
			bottom = level
		}
	}
	if mean(top) == mean(bottom) {
		return study.Say("all have the mean %s, in %s", figure(mean(top), n), pointsOf(t.a.Scale))
	}
	return study.Say("%s has the highest mean (%s) and %s the lowest (%s), in %s", levelSubject(t.s, x.Factor, top),
		figure(mean(top), n), levelSubject(t.s, x.Factor, bottom), figure(mean(bottom), n), pointsOf(t.a.Scale))
}

// factorAsked says what the plan asks of crossed samples.
func factorAsked(s *study.Study, f analysis.Finding) string {
	a, _ := s.Attribute(f.Attribute)
	who := "rated by the same " + people(f.N).String()
	if f.N == 0 {
		who = "which nobody rated all"
	}
	same := ""
	if f.Verdict.Sameness {
		same = "are they practically the same? "
	}
	return fmt.Sprintf("Asked beforehand: “%s” — %s%s, %s.", a.Ask, same, factorWords(s, f), who)
}

// factorWords names what is compared.
func factorWords(s *study.Study, f analysis.Finding) string {
	x := f.Factor
	switch {
	case x.Factor == study.NameByDish:
		return "does what the name does depend on the dish?"
	case x.Contrast:
		c := factorContrast(s, f)
		return fmt.Sprintf("%s against %s, %s", c.short[0], c.short[1], c.shared)
	case x.Factor == study.DishFactor:
		return fmt.Sprintf("all %d dishes, %s", len(x.Levels), overWords(x.Table, x.Factor))
	}
	return fmt.Sprintf("all %d names, %s", len(x.Levels), overWords(x.Table, x.Factor))
}

func factorRow(s *study.Study, f analysis.Finding, v Verdict, notes *footnotes) Row {
	x := f.Factor
	pair := factorWord(f)
	words := "Does what the name does depend on the dish?"
	if x.Contrast && x.Factor != study.NameByDish {
		pair = fmt.Sprintf("%s: %s − %s", x.Factor, x.Levels[0], x.Levels[1])
		words = factorContrast(s, f).minus()
	} else if x.Factor != study.NameByDish {
		words = upperFirst(factorWords(s, f))
	}
	r := rowAs(s, f, rowNames{words, pair, v.Outcome == Clear}, notes)
	if len(f.Pair.Each) == 0 {
		r.Moved, r.MeanFirst, r.MeanSecond = none, none, none
	}
	if !x.Contrast {
		r.Difference, r.Interval = none, none
		r.Technical = testRows(f)
	}
	return r
}

// addEffect puts a row into the part of its attribute.
func (p *Page) addEffect(r Row) {
	if last := len(p.Effects) - 1; last >= 0 && p.Effects[last].Ask == r.Ask {
		p.Effects[last].Rows = append(p.Effects[last].Rows, r)
		return
	}
	p.Effects = append(p.Effects, Effects{r.Ask, []Row{r}})
}

// toldBeside reports whether an effect that is not primary is told in a sentence whether
// it is clear or not: those of all names and all dishes on the attribute that decides.
func toldBeside(s *study.Study, f analysis.Finding) bool {
	x := f.Factor
	return f.Kind == analysis.KindFactor && f.Attribute == s.Plan.Attribute &&
		(x.Factor == study.NameByDish || len(x.Levels) == len(x.Table.Levels(x.Factor)))
}

// factorWord is the factor of a finding in the findings as JSON.
func factorWord(f analysis.Finding) string {
	return strings.ReplaceAll(string(f.Factor.Factor), " by ", ":")
}

// levelsCompared are the levels of a factor finding, or the dishes between which what the
// name does is compared.
func levelsCompared(f analysis.Finding) (compared []study.SampleID) {
	levels := f.Factor.Levels
	if f.Factor.Factor == study.NameByDish {
		levels = f.Factor.Table.Dishes
	}
	for _, level := range levels {
		compared = append(compared, study.SampleID(level))
	}
	return compared
}

// textEffects writes what was found of dishes crossed with names.
func textEffects(b *strings.Builder, h Headings, all []Effects) error {
	for _, x := range all {
		heading := "Names and dishes: " + x.Ask
		fmt.Fprintf(b, "%s\n%s\n\n", heading, strings.Repeat("-", len([]rune(heading))))
		if err := textRows(b, h, x.Rows); err != nil {
			return err
		}
		b.WriteByte('\n')
	}
	return nil
}
