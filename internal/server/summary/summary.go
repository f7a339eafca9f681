package summary

import (
	"cmp"
	"errors"
	"strconv"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/study"
	"cloche/internal/words"
)

// Study says in plain words what a study will do. It is for the lead alone,
// and for everything that is the same before and after close: it holds no code.
type Study struct {
	ID                panel.StudyID
	Title, Hypothesis string
	Samples           []sampleLine
	Asked             []Fact          // of servings side by side; empty where each is rated
	Attributes        []attributeLine // of each serving
	Panel             []Fact
	Dishes            []dishLine
	Cautions          []Caution
	Tested            []string
	Planned           bool // portions and balance are known
	OnArrival         bool // which sample each gets is dealt when they arrive
	Balance           positions
	of                *study.Study
	page              string // its language
}

// LangOf is [site.LangOf] on the page.
func (s Study) LangOf(text string) string { return site.LangOf(s.page, s.of, text) }

type sampleLine struct {
	ID, Dish, Name string
	Translated     []string // the name in the other languages
}

type attributeLine struct{ ID, Ask, Scale string }

type Fact struct{ Term, Text string }

type dishLine struct {
	Title, Portion, ServeAt, Allergens string
	Portions                           int
}

// positions is how often each sample stands at each position.
type positions struct {
	Columns []string
	Rows    []positionRow
	Remarks []string
}

type positionRow struct {
	Sample string
	Counts []int
}

// Of puts a study and its serving plan in words; plan is nil when none
// can be drawn.
func Of(w site.Tongue, stored panel.Study, plan *design.Plan) Study {
	a := stored.Spec
	sum := Study{
		ID: stored.ID, Title: a.Title, Hypothesis: a.Hypothesis, of: a, page: w.Tag(),
		Panel: panelFacts(w, a), Cautions: Cautions(w, a), Tested: AnalysisPlan(w, a),
		OnArrival: a.Serving.DealtOnArrival() && stored.State != panel.Closed,
	}
	sum.Planned = plan != nil && !sum.OnArrival
	for _, x := range a.Samples {
		d, _ := a.Dish(x.Dish)
		sum.Samples = append(sum.Samples, sampleLine{string(x.ID), d.Title, a.NameText(x.ID), translatedNames(a, x.ID)})
	}
	sum.Asked = turnAsked(w, a)
	for _, x := range a.Attributes {
		if len(sum.Asked) > 0 {
			break // its one attribute is what the turn asks about
		}
		sum.Attributes = append(sum.Attributes, attributeLine{string(x.ID), x.Ask, scaleWords(x.Scale, w.Translate)})
	}
	portions := map[study.DishID]int{}
	if sum.Planned {
		portions, sum.Balance = count(w, a, plan)
	}
	for _, d := range a.Dishes {
		sum.Dishes = append(sum.Dishes, dishLine{
			Title: d.Title, Portion: d.Portion, ServeAt: site.Degrees(d.ServeAt), Allergens: contains(w, d),
			Portions: portions[d.ID],
		})
	}
	return sum
}

// contains says what is in a dish.
func contains(w site.Tongue, d study.Dish) string { return d.ContentsIn(w.Tag()).WordsIn(w.Translate) }

func scaleWords(s study.Scale, say analysis.Say) string {
	switch s.Kind {
	case study.Line:
		return say("a line from “%s” (%v) to “%s” (%v), without a mark at the start", s.Low, s.Min(), s.High,
			s.Max())
	case study.Hedonic9:
		return say("nine answers, from “%s” (1) to “%s” (9)", s.Labels[0], s.Labels[len(s.Labels)-1])
	case study.AboutRight:
		return say("%d answers, from too little over about right to too much, counted and never averaged: %s",
			len(s.Labels), strings.Join(s.Labels, " · "))
	case study.WordList:
		return say("%d words, of which all that fit are ticked, in an order that turns from guest to guest "+
			"and from "+
			"serving to serving: %s", len(s.Labels), strings.Join(s.Labels, " · "))
	case study.Categories:
		return say("%d answers: %s", len(s.Labels), strings.Join(s.Labels, " · "))
	}
	return say("answered by the servings side by side, on no scale")
}

func panelFacts(w site.Tongue, a *study.Study) []Fact {
	facts := []Fact{{"Places", w.Translate("%d assessors", a.Panel.Assessors)}}
	if a.Panel.Sittings > 1 {
		facts = append(facts, Fact{"Sittings", strconv.Itoa(a.Panel.Sittings)})
	}
	if a.Panel.Seats > 0 {
		facts = append(facts, Fact{"Seats", w.Translate("at most %d assessors at one sitting", a.Panel.Seats)})
	}
	facts = append(facts, Fact{"Each gets", eachGets(a, w.Translate)})
	if len(a.Languages) > 1 {
		var names []string
		for _, lang := range a.Languages {
			names = append(names, words.Name(lang))
		}
		facts = append(facts, Fact{"Languages", strings.Join(names, ", ") +
			w.Translate(", as each phone is set. A name in another language is another word: check that it "+
				"promises the same.")})
	}
	facts = append(facts, strataFacts(w, a)...)
	if a.Serving.Expectation {
		facts = append(facts, Fact{"Before tasting", w.Translate("each reads every name that they will meet, and says "+
			"what they expect on the same scales, in an order drawn at random and balanced") + afterNames(w, a) +
			whoReads(w, a)})
	}
	if a.Serving.Attributes == study.RotatedOrder {
		facts = append(facts, Fact{"Questions", w.Translate("in an order that turns from one assessor to the " +
			"next; each " +
			"keeps theirs for every serving")})
	}
	if a.Serving.WarmUp != "" {
		facts = append(facts, Fact{"Warm-up", w.Translate("sample %s first, the same for all; it is not analysed",
			a.Serving.WarmUp)})
	}
	if a.TurnServings() > 1 {
		again := w.Translate("people may taste what is on it again")
		if a.Serving.TasteOnce {
			again = w.Translate("each plate on it is tasted only once")
		}
		facts = append(facts, Fact{"Tray", again})
	}
	if a.Serving.RinseSeconds > 0 && hasPauses(a) {
		facts = append(facts, Fact{"Pause", w.Translate("%d seconds between servings, to rinse",
			a.Serving.RinseSeconds)})
	}
	return append(facts, eveningFacts(w, a)...)
}

// eveningFacts say what the study fixes of the evening where it differs from the usual.
func eveningFacts(w site.Tongue, a *study.Study) (facts []Fact) {
	if a.Serving.PlateGate {
		facts = append(facts, Fact{"Code on the plate", w.Translate("name and questions appear once it was typed")})
	}
	if a.Serving.AtOneTable == study.SameOrder {
		facts = append(facts, Fact{"At one table", w.Translate("guests taste in the same order, as far as " +
			"places last")})
	}
	return facts
}

// strataFacts say within what the samples are kept even, and who says to which group
// somebody belongs.
func strataFacts(w site.Tongue, a *study.Study) []Fact {
	var facts []Fact
	for _, x := range a.Serving.Strata {
		text := w.Translate("%s, which the staff know: %s", x.ID, strings.Join(x.Levels, " · "))
		if x.Ask != "" {
			text = w.Translate("%s, as each says on arrival: “%s” %s", x.ID, x.Ask, strings.Join(x.Levels, " · "))
		}
		facts = append(facts, Fact{"Kept even within", text})
	}
	switch {
	case len(facts) == 0:
	case a.Serving.Minimise:
		facts = append(facts, Fact{"Dealt by", w.Translate("minimisation: each newcomer gets, with a chance of " +
			"4 in 5, " +
			"the sample that keeps every level most even (Pocock & Simon 1975)")})
	default:
		facts = append(facts, Fact{"Dealt by", w.Translate("permuted blocks within each combination of levels")})
	}
	return facts
}

// hasPauses reports whether an assessor gets anything after something else.
func hasPauses(a *study.Study) bool {
	if a.Serving.Design == study.One && a.Serving.Replicates <= 1 {
		return a.Serving.WarmUp != ""
	}
	return a.TurnServings() <= 1 || a.Trays() > 1 || a.Serving.WarmUp != ""
}

// afterNames warns where names are read before servings that are blind.
func afterNames(w site.Tongue, a *study.Study) string {
	for _, x := range a.Samples {
		if x.Name == "" {
			return w.Translate(". Blind servings come after that too: who has read the names may look for them")
		}
	}
	return ""
}

// eachGets says in a language what an assessor is served.
func eachGets(a *study.Study, say analysis.Say) string {
	n, times := len(a.Samples), ""
	switch a.Serving.Design {
	case study.One:
		n = 1
	case study.Some:
		n = a.Serving.PerAssessor
	case study.All:
	}
	if a.Serving.Replicates > 1 {
		times = say(", each %d times", a.Serving.Replicates)
	}
	if a.Question.Kind().Ascending {
		return say("%d trays of three servings side by side, from the least amount to the most; which of the "+
			"three "+
			"has it is drawn at random and balanced", a.Trays())
	}
	if together := a.TurnServings(); together > 1 {
		return say("%d servings side by side%s, in an order drawn at random and balanced", together, times)
	}
	if len(a.Samples) == 1 {
		return say("one and the same sample%s", times)
	}
	if n == len(a.Samples) {
		return say("%s%s, one after the other, in an order drawn at random and balanced", allSamples(n, say), times)
	}
	if a.Serving.DealtOnArrival() {
		return say("%d of the %d samples%s, dealt at random when they arrive", n, len(a.Samples), times)
	}
	return say("%d of the %d samples%s, drawn at random and balanced", n, len(a.Samples), times)
}

// allSamples says that all n are served.
func allSamples(n int, say analysis.Say) string {
	if n == 2 {
		return say("both samples")
	}
	return say("all %d samples", n)
}

// count counts portions by dish, and samples by position. Servings of every
// kind need a portion, but for names that are read and not tasted.
func count(w site.Tongue, a *study.Study, plan *design.Plan) (map[study.DishID]int, positions) {
	portions := map[study.DishID]int{}
	last := 0
	for _, v := range plan.Servings {
		last = max(last, int(v.Position))
	}
	counts := make([][]int, len(plan.Samples))
	for i := range counts {
		counts[i] = make([]int, last)
	}
	for _, v := range plan.Servings {
		if v.Sample == design.Undealt {
			continue
		}
		if v.Role != design.Expected {
			x, _ := a.Sample(plan.Samples[v.Sample])
			portions[x.Dish]++
		}
		if v.Role == design.Rated && v.Position > 0 {
			counts[v.Sample][v.Position-1]++
		}
	}
	b := positions{}
	for i := range last {
		b.Columns = append(b.Columns, w.Translate("position %d", i+1))
	}
	for i, row := range counts {
		b.Rows = append(b.Rows, positionRow{string(plan.Samples[i]), row})
	}
	for _, x := range plan.Warnings {
		b.Remarks = append(b.Remarks, site.Sentence(x.Text))
	}
	return portions, b
}

// translatedNames are the names of a sample in the languages after the first.
func translatedNames(a *study.Study, id study.SampleID) []string {
	var names []string
	for _, t := range a.Translations {
		if name := a.In(t.Language).NameText(id); name != "" {
			names = append(names, words.Name(t.Language)+": “"+name+"”")
		}
	}
	return names
}

// Title is the title of a study, a draft without one too.
func Title(w site.Tongue, stored panel.Study) string {
	return cmp.Or(stored.Spec.Title, w.Translate("Untitled"))
}

// See is where a study can be seen before anybody tastes.
type See struct {
	ID     panel.StudyID
	DryRun bool // it can be tried on simulated ratings
}

// SeeOf is where a study can be seen, as far as its question goes.
func SeeOf(stored panel.Study) See { return See{stored.ID, panel.MayTry(stored.Spec) == nil} }

// CannotRun tells a study that cannot be run from a failure of the service.
func CannotRun(w site.Tongue, err error) (string, bool) {
	var (
		notYet   *panel.NotYetError
		conflict *design.Conflict
	)
	if errors.As(err, &notYet) {
		return site.Sentence(w.Translate(notYet.What)) + " " + site.Sentence(w.Translate(notYet.Do)), true
	}
	if errors.As(err, &conflict) {
		return Tell(w, conflict), true
	}
	return "", false
}

// fields are the step and the label under which the builder asks for what a plan may conflict with.
var fields = map[string][2]string{
	design.FieldSittings:      {"Panel and service", "Sittings"},
	design.FieldSeats:         {"Panel and service", "Seats"},
	design.FieldSpares:        {"Panel and service", "Spare codes for dropped plates"},
	design.FieldMostAtSitting: {"Panel and service", "Most servings to one person at one sitting"},
	design.FieldPerAssessor:   {"Panel and service", "How many, if some"},
	design.FieldReplicates:    {"Panel and service", "Times each is asked"},
	design.FieldCodes:         {"Panel and service", "Codes on the plates"},
	design.FieldDesign:        {"Panel and service", "Samples to each assessor"},
}

// Tell says what conflicts in a study and what to do, in the words of the builder's screens.
func Tell(w site.Tongue, c *design.Conflict) string {
	instead := c.Instead
	if f, asked := fields[c.Field]; asked {
		instead = study.Say("on the step “%s”, under “%s”, write %s", study.Say(f[0]), study.Say(f[1]), c.Value)
		if or, asked := fields[c.Or]; asked {
			instead = study.Say("%s, or choose otherwise under “%s”", instead, study.Say(or[1]))
		}
	}
	return site.Sentence(w.Tell(c.What)) + " " + site.Sentence(w.Tell(instead))
}
