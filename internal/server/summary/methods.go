package summary

import (
	"fmt"
	"math"
	"runtime/debug"
	"slices"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/study"
	"cloche/internal/words"
)

// MethodsTexts are a paragraph for a paper, in English and in each other language of the study
// that the program speaks: what was done, by what is on record. It says nothing of what the
// service cannot know, such as where the tasting was held.
func MethodsTexts(stored panel.Study, flow report.Flow, found *analysis.Result) []report.MethodsText {
	english, languages := words.In("").Tag(), []string{}
	for _, tag := range stored.Spec.Languages {
		if words.In(tag).Tag() == english && words.Speaks(tag) {
			english = tag
		} else if words.Speaks(tag) {
			languages = append(languages, tag)
		}
	}
	var all []report.MethodsText
	for _, tag := range append([]string{english}, languages...) {
		w, read := words.In(tag), stored
		if slices.Contains(stored.Spec.Languages, tag) {
			read.Spec = stored.Spec.In(tag)
		}
		all = append(all, report.MethodsText{Language: tag, Name: words.Name(tag),
			Text: methodsIn(read, flow, found, w.Moment(stored.Lock.At.UTC()), w.Paper)})
	}
	return all
}

// methodsIn is the paragraph in a language, of a study as it is read there.
func methodsIn(stored panel.Study, flow report.Flow, found *analysis.Result, locked string, say analysis.Say) string {
	a := stored.Spec
	var said []string
	if a.Invented {
		said = append(said, say("The data are invented: they show how the program works and say nothing of any dish."))
	}
	said = append(said, say("We held a blind tasting of %s.", samplesTasted(a, say)))
	if oneDish(a) {
		said = append(said, say("All were one and the same dish; only the name that was said with it differed."))
	}
	said = append(said, say("Each assessor was served %s, under three-digit codes.", eachGets(a, say)),
		say("Orders and codes were drawn from the seed %d and can be drawn again from it; the plan of serving and "+
			"analysis was fixed on %s, before the first rating (SHA-256 of the study %s, of the plan %s).",
			stored.Lock.Seed, locked, stored.Lock.StudyHash, stored.Lock.PlanHash),
		attributesAsked(a, say), tookPart(a, flow, found, say))
	if h := found.Stopping; h != nil && len(h.Deviations) > 0 {
		said = append(said, say("Tasting was planned to end so: %s. It ended otherwise: %s.",
			analysis.StoppingRuleIn(a, say), h.HappenedIn(say)))
	}
	said = append(said, tested(a, found, say)...)
	said = append(said, besideTested(a, found, say)...)
	return strings.Join(append(said, say("Plan, data collection and analysis: %s.", softwareIn(say))), " ")
}

// Software names this program and the build.
func Software() string { return softwareIn(fmt.Sprintf) }

func softwareIn(say analysis.Say) string {
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, x := range info.Settings {
			if x.Key == "vcs.revision" {
				return say("Cloche, revision %s", x.Value[:min(12, len(x.Value))])
			}
		}
	}
	return say("Cloche, a build without a revision")
}

// samplesTasted lists the samples, as the key names them.
func samplesTasted(a *study.Study, say analysis.Say) string {
	var all []string
	for _, x := range a.Samples {
		all = append(all, fmt.Sprintf("%s (%s)", analysis.LabelIn(a, x.ID, say), x.ID))
	}
	last := len(all) - 1
	if last == 0 {
		return all[0]
	}
	return say("%s and %s", strings.Join(all[:last], ", "), all[last])
}

// oneDish reports whether nothing but the name differed between several samples.
func oneDish(a *study.Study) bool {
	for _, x := range a.Samples {
		if x.Dish != a.Samples[0].Dish {
			return false
		}
	}
	return len(a.Samples) > 1
}

// attributesAsked quotes the questions with their scales; of answers about several
// servings at once, what was asked of them.
func attributesAsked(a *study.Study, say analysis.Say) string {
	if !a.Question.CollectsRatings() {
		return say("Of each set of servings they were asked: “%s”", a.TurnAsk())
	}
	var all []string
	for _, x := range a.Attributes {
		all = append(all, say("“%s” (%s)", x.Ask, scaleWords(x.Scale, say)))
	}
	return say("Of each serving they were asked: %s.", strings.Join(all, "; "))
}

// tookPart is the flow in a sentence.
func tookPart(a *study.Study, flow report.Flow, found *analysis.Result, say analysis.Say) string {
	some := func(n int, one, more string) string {
		if n == 1 {
			return say(one)
		}
		return say(more, n)
	}
	text := some(flow.Seated, "One person took a place", "%d people took a place") +
		say(", of whom %d finished", flow.Finished)
	for _, x := range []struct {
		n    int
		text string
	}{
		{flow.Left, ", %d left early"}, {flow.Stopped, ", %d had not finished at the close"},
		{flow.Withdrawn, ", %d deleted their answers"},
	} {
		if x.n > 0 {
			text += say(x.text, x.n)
		}
	}
	text += say("; the analysis has answers of %d", found.Assessors)
	for _, x := range found.Excluded {
		if !analysis.FromComparisons(x.Reason) && x.Reason != analysis.ReasonWithdrawn {
			text += say(" (left out: %d, reason: %s)", x.Count, analysis.ReasonIn(a, x.Reason, say))
		}
	}
	if flow.SaidNo > 0 {
		text += some(flow.SaidNo, ". One person said no when asked to agree", ". %d people said no when asked to agree")
	}
	return text + "."
}

// tested says what the primary test was, what stood beside it, and where it is from.
func tested(a *study.Study, found *analysis.Result, say analysis.Say) []string {
	primary := found.Findings[0]
	text := say("The primary analysis, fixed with the plan, was the %s", say(primary.Test.Method.Title()))
	if x, ok := a.Attribute(primary.Attribute); ok {
		text += say(" on “%s”", x.Ask)
	}
	var compared []string
	for _, id := range primary.Comparison {
		compared = append(compared, string(id))
	}
	if len(compared) > 0 {
		text += " (" + strings.Join(compared, ", ") + ")"
	}
	said := []string{text + say(", at a level of %v.", a.Plan.Alpha)}
	family := 0
	for _, f := range found.Findings {
		family = max(family, f.Family)
	}
	if family > 1 {
		said = append(said, say("%d secondary comparisons were adjusted together (%s).", family,
			say(method.ID(a.Plan.Adjust).Title())))
	}
	said = append(said, profileTested(found, say)...)
	var sources []string
	for _, f := range found.Findings {
		m := method.Of(f.Test.Method)
		if m.Source == "" {
			continue
		}
		if source := say("%s: %s", say(m.Title), sourceIn(m.Source, say)); !slices.Contains(sources, source) {
			sources = append(sources, source)
		}
	}
	if len(sources) > 0 {
		said = append(said, say("Sources: %s.", strings.Join(sources, "; ")))
	}
	return said
}

// besideTested says how tasting could stop early, and what was reckoned beside the tests: what a name is worth in
// amounts, how far it drew the ratings, whether the blind held, and whether everybody shifts.
func besideTested(a *study.Study, found *analysis.Result, say analysis.Say) (said []string) {
	primary := found.Findings[0]
	if l := primary.Looks; l != nil {
		said = append(said, say("The plan held %d looks before the end, and %d were taken in all; who rated after a "+
			"look that stopped the tasting is left out (%d).", len(a.Plan.Looks), len(l.Taken), l.Later))
	}
	if e := primary.Evidence; e != nil {
		said = append(said, say("Evidence was counted after everybody who had rated both, and tasting was to stop "+
			"from %v to 1 on; who rated after it is left out (%d).", math.Round(100/a.Plan.Alpha)/100, e.Later))
	}
	if slices.ContainsFunc(found.Findings, func(f analysis.Finding) bool { return f.Dose.Laid != nil }) {
		said = append(said, say("What a dish outside the series is worth in amounts is how far it was rated above the "+
			"line of the series, over the slope of that line, with an interval by Fieller’s method."))
	}
	if len(found.Ways) > 0 {
		said = append(said, say("How far a name drew the ratings is the mean of named minus blind over the mean of "+
			"expected minus blind, of those who gave all three, with an interval by Fieller’s method."))
	}
	if b := found.Blinding; b != nil {
		said = append(said, say("After the last plate, before anything was told, %d assessors answered the question "+
			"what was compared.", b.N))
		if b.Asked != study.AskCompared {
			said = append(said, say("Of them %d guessed right, %d wrong, and %d did not know.", b.Right, b.Wrong,
				b.Unknown))
		}
	}
	if p := primary.People; p != nil {
		said = append(said, say("Whether everybody shifts alike was asked of %d assessors with %d differences each, "+
			"by an F test of the spread between them against that within.", p.N, p.Replicates))
	}
	return said
}

// sourceNotes are what sources say beside the works that they cite.
var sourceNotes = []string{
	"exact given ties, zeros ranked and left out", "exact given ties where that takes few enough sums",
	"exact given who moved between which answers", "strata as fixed effects", "interval:", "assessors random",
	"adaptive quadrature", "fitted by REML, which recovers inter-block information",
	"where people come to several sittings, of up to 400 ratings:", "one-sided", "bounds:",
	"p by the order of the stages", "right-Haar prior", "of the slopes of people’s own lines",
	"where not everybody rated every amount, in a mixed model", "of each person’s rating minus their own line",
	"or in a mixed model", "with its exact interval of the share of the variance",
	"sum of Cochran’s Q over the words, each assessor’s servings shuffled as wholes",
	"exact for small panels by his randomisation distribution", "exact by the binomial distribution",
	"forms (3,1) and (3,k), with their exact intervals", "assessor × sample against repeats in a two-way analysis",
	"all from memory", "both from memory", "from memory",
}

// sourceIn is a source in a language: works as they are cited, notes translated.
func sourceIn(source string, say analysis.Say) string {
	for _, note := range sourceNotes {
		if strings.Contains(source, note) {
			source = strings.ReplaceAll(source, note, say(note))
		}
	}
	return source
}
