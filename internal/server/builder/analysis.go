package builder

import (
	"fmt"
	"slices"

	"github.com/gin-gonic/gin"

	"cloche/internal/method"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
)

// analysisStep is the page of the analysis plan.
type analysisStep struct {
	building
	Tested []string // the plan in words, once it is whole
}

var analysisScreen = site.DeskScreen[analysisStep]("builder/analysis")

func showAnalysis(s *handlers, c *gin.Context, status int, b *builder) error {
	page := analysisStep{building: s.building(c, b)}
	if len(page.Wrong)+len(page.Open) == 0 {
		page.Tested = summary.AnalysisPlan(b.tongue, b.asked)
	}
	return site.Show(s.Site, c, status, analysisScreen, page)
}

func analysisParts(b *builder) []part {
	p := b.asked.Plan
	samples := b.sampleOptions("Choose a sample")
	first := b.choose(pick, "analysis.compare[0]", "This sample", "", "", samples...)
	first.writeTo = func(b *builder, sent []string) error { return b.setItem("analysis.compare", 0, 2, sent[0]) }
	second := b.choose(pick, "analysis.compare[1]", "against this one",
		"The result is the first minus the second: above zero means that the first was rated higher.", "", samples...)
	second.writeTo = func(b *builder, sent []string) error { return b.setItem("analysis.compare", 1, 2, sent[0]) }
	attributes := []option{{Label: "Choose an attribute"}}
	for _, a := range b.asked.Averaged() {
		if a.ID != "" {
			attributes = append(attributes, option{Value: string(a.ID), Label: string(a.ID) + ": " + a.Ask,
				Typed: true})
		}
	}
	main := part{ID: "main-comparison", Heading: "The one comparison that decides", Lead: []string{
		"Chosen before anybody tastes, so that nobody can pick the prettiest result afterwards. All others are " +
			"reported too, as secondary.",
	}, Fields: []buildField{first, second}}
	if p.WholePanel { // written in the file, and changed there
		main = part{ID: "main-comparison", Heading: "All samples together decide", Lead: []string{
			"Chosen before anybody tastes: are all samples alike? Every pair is reported too. To compare two " +
				"instead, write compare: [A, B] in the file.",
		}}
	}
	if c, ok := b.crossed(); ok {
		main.Heading = "The one thing that decides"
		main.Lead = append(main.Lead, "Every dish is served under every name, so that one question can be asked "+
			"of all of "+
			"them at once. Saving shows what goes with another choice.")
		if p.EffectOf != "" {
			main.Fields = b.levelFields(c)
		}
		main.Fields = append([]buildField{b.effectField(c)}, main.Fields...)
	}
	how := part{ID: "how", Heading: "How it is tested"}
	if b.hasSides() {
		how.Fields = append(how.Fields, b.sidesField(choice))
	}
	how.Fields = append(how.Fields, b.alphaField())
	k := b.asked.Question.Kind()
	if k.Plans("undecided") {
		how.Fields = append(how.Fields, b.undecidedField())
	}
	if k.Tells {
		how.Fields = append(how.Fields, b.toldFields()...)
	}
	switch {
	case k.Ascending:
		main = b.risingMain()
	case k.Amounts:
		main = b.amountsMain(attributes)
		how.Fields = append(how.Fields, b.adjustField(p))
	case k.OneDish:
		main = b.rightAloneMain(attributes)
		how.Fields = append(how.Fields, b.adjustField(p))
	case k.Describes:
		main = b.profileMain(attributes)
		how.Fields = append(how.Fields, b.adjustField(p))
	case !b.asked.Question.CollectsRatings():
		second.Hint = "The first is counted against the second."
		main = part{ID: "main-comparison", Heading: "What decides",
			Lead: []string{b.say(k.Asks) + " " + b.say("That is the one thing tested.")}}
		if k.Orders() {
			main.Fields = []buildField{first, second}
		}
		if k.Plans("expected order") {
			main.Fields = b.expectedFields()
		}
	default:
		main.Fields = append(main.Fields, b.choose(pick, "analysis.attribute", "On this attribute", "", "",
			attributes...))
		if len(b.asked.AboutRights()) > 0 {
			main.Fields = append(main.Fields, b.likingField(attributes))
		}
		how.Fields = append(how.Fields, b.testFields(p)...)
	}
	rules := part{ID: "rules", Heading: "When tasting ends", Lead: []string{
		"Fixed beforehand, so that nobody stops when the result looks good. The report holds it against what " +
			"happened. Who is left out is in the step Panel and service.",
	}, Fields: []buildField{
		b.number("analysis.stop after", "When so many assessors have finished", "Empty: when every place has finished.",
			""),
		b.line("analysis.stop by", "After this day at the latest",
			"Year, month, day, as in 2026-12-05. Empty: no last day."),
	}}
	if k.Plans("looks") && b.asked.Plan.ComparesTwo() {
		rules.Fields = append(append(rules.Fields, b.looksFields()...), b.evidenceFields()...)
	}
	return []part{main, how, rules}
}

// likingField asks what answers about right are held against.
func (b *builder) likingField(attributes []option) buildField {
	return b.choose(pick, "analysis.liking", "Which question says how much a serving is liked",
		"What is asked as too little, about right or too much is held against it: do those who say too little, or too "+
			"much, like it less?", string(b.asked.Plan.Liking), attributes...)
}

// alphaField asks for the chance of the wrong answer that one accepts.
func (b *builder) alphaField() buildField {
	hint := "The chance of seeing a difference where there is none that you accept. 0.05 is usual."
	if b.asked.Plan.Test == study.Equivalence && !b.asked.Question.Kind().Tells {
		hint = "The chance that you accept of calling two practically the same that differ by the smallest " +
			"difference worth acting on. 0.05 is usual."
	}
	return b.number("analysis.alpha", "Significance level, α", hint, site.Number(b.asked.Plan.Alpha))
}

// expectedFields ask in what order the samples are expected, if in any.
func (b *builder) expectedFields() (fields []buildField) {
	n := len(b.asked.Samples)
	for i := range n {
		hint := ""
		if i == 0 {
			hint = "Only if you can say beforehand in what order all samples will stand: it is then tested whether " +
				"they " +
				"do, which takes fewer people and is blind to any other order. Else leave all of them open."
		}
		f := b.choose(pick, fmt.Sprintf("analysis.expected order[%d]", i),
			b.say("Expected at place %d", i+1), hint, "", b.sampleOptions("no order is expected")...)
		f.writeTo = func(b *builder, sent []string) error { return b.setItem("analysis.expected order", i, n, sent[0]) }
		fields = append(fields, f)
	}
	return fields
}

// hasSides reports whether a difference may count on one side alone: of two, not of several
// that are compared together. A file that says so all the same is put right there.
func (b *builder) hasSides() bool {
	if slices.Equal(b.asked.Question.Kind().Sides, []study.Sides{study.TwoSided}) {
		return false
	}
	p := b.asked.Plan
	if p.Sides == study.Greater || p.Sides == study.Less {
		return true
	}
	if c, ok := b.asked.Crossed(); ok && p.EffectOf != "" {
		return c.IsContrast(p)
	}
	return p.HasSides()
}

// sidesField asks on which side a difference would count, of those that the question
// has.
func (b *builder) sidesField(kind string) buildField {
	if !b.asked.Question.CollectsRatings() {
		return b.choiceSidesField(kind)
	}
	words := map[study.Sides]option{
		study.TwoSided: {Label: "Higher or lower", Hint: "the honest choice when either would matter"},
		study.Greater:  {Label: "Only higher", Hint: "fewer people, and blind to the other direction"},
		study.Less:     {Label: "Only lower"},
	}
	return b.sidesIn(kind, "What would count as a difference", words)
}

// choiceSidesField is [builder.sidesField] where servings are chosen.
func (b *builder) choiceSidesField(kind string) buildField {
	return b.sidesIn(kind, "What would count", map[study.Sides]option{
		study.TwoSided: {Label: "The first or the second chosen more often",
			Hint: "the honest choice when either would matter"},
		study.Greater: {Label: "Only more than chance would give",
			Hint: "of the first, where the samples have an order"},
		study.Less: {Label: "Only the second chosen more often"},
	})
}

func (b *builder) sidesIn(kind, label string, words map[study.Sides]option) buildField {
	var options []option
	for _, side := range b.asked.Question.Kind().Sides {
		o := words[side]
		o.Value = string(side)
		options = append(options, o)
	}
	return b.choose(kind, "analysis.sides", label, "", string(b.asked.Plan.Sides), options...)
}

// undecidedField asks whether assessors may choose none, and what becomes of that.
func (b *builder) undecidedField() buildField {
	none := b.asked.Question.Kind().None[b.tongue.Tag()]
	return b.choose(choice, "analysis.undecided", b.say("May assessors answer “%s”?", none), "", "",
		option{Value: "", Label: "No, they have to choose", Hint: "who cannot say chooses what comes closest"},
		option{Value: string(study.DropUndecided), Label: "Yes: counted and shown, not tested",
			Hint: "the test is of those who chose; the usual rule where none is allowed"},
		option{Value: string(study.SplitUndecided), Label: "Yes: half of them count for each",
			Hint: "pulls the answer towards even; an odd one counts for neither"})
}

// byOrder is the test for scales of few labels.
func (b *builder) byOrder() option {
	return b.testOption(study.Ordinal, "%s: for a few labels, whose means say little")
}

// sameAsk asks what a test of equivalence answers.
const sameAsk = "Are the two practically the same? %s"

// testOption is a test to choose, with what is said of it.
func (b *builder) testOption(t study.Test, about string) option {
	return option{Value: string(t), Label: b.say(about, b.say(t.Title()))}
}

// testFields are the choices that only ratings have.
func (b *builder) testFields(p study.AnalysisPlan) []buildField {
	tests := []option{
		b.testOption(study.PairedT, "%s: the usual one"),
		b.testOption(study.SignedRank, "%s: by ranks"),
		b.testOption(study.MixedT, "%s: by every rating, also of who did not get both"),
		b.testOption(study.Lottery, "%s: by the draw alone"),
		b.testOption(study.Equivalence, sameAsk),
	}
	hint := "The others are reported beside it. All but the last look for a difference, and finding none does not " +
		"show that there is none. " +
		"The last shows it: that the two differ by less than the smallest difference worth acting on, which " +
		"the step Size asks for."
	if a, ok := b.asked.Attribute(p.Attribute); ok && a.Scale.IsOrdinal() {
		tests = slices.Insert(tests, len(tests)-1, b.byOrder())
	}
	if c, ok := b.crossed(); ok && p.EffectOf != "" {
		tests = b.effectTests(c)
		hint = "A mixed model stands beside it, or decides where nobody is served every sample."
	}
	if p.WholePanel {
		hint = "The others are reported beside it."
	}
	if p.WholePanel {
		tests = []option{
			b.testOption(study.MixedF, "%s: the usual one"),
			b.testOption(study.RMAnova, "%s"),
			b.testOption(study.Friedman, "%s: by ranks"),
		}
	}
	if b.asked.Serving.Design == study.One {
		tests = []option{
			b.testOption(study.WelchT, "%s: the usual one for separate groups"),
			b.testOption(study.RankSum, "%s: by ranks, for separate groups"),
			b.testOption(study.Lottery, "%s: by the draw alone"),
			{Value: string(study.Equivalence),
				Label: b.say(sameAsk, b.say(method.EquivalenceWelch.Title()))},
		}
		if a, ok := b.asked.Attribute(p.Attribute); ok && a.Scale.IsOrdinal() {
			tests = slices.Insert(tests, len(tests)-1, b.byOrder())
		}
	}
	return []buildField{
		b.choose(pick, "analysis.test", "Test", hint, string(p.Test), tests...),
		b.adjustField(p),
	}
}

func (b *builder) adjustField(p study.AnalysisPlan) buildField {
	return b.choose(pick, "analysis.adjust", "All other comparisons",
		b.say("The more is compared, the more chance finds; %s allows for that.", b.say(method.Holm.Title())),
		string(p.Adjust),
		option{Value: string(study.Holm), Label: b.say("adjusted together by %s", b.say(method.Holm.Title()))},
		option{Value: string(study.NoAdjustment), Label: "not adjusted"})
}
