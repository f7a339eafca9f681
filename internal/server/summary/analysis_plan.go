package summary

import (
	"fmt"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// AnalysisPlan says the analysis plan in words.
func AnalysisPlan(a *study.Study) []string {
	p := a.Plan
	if a.Question.Response() == study.RankAll {
		return rankingPlan(a)
	}
	if a.Question.Kind().Tells {
		return toldPlan(a)
	}
	if a.Question.Response() == study.TickWords {
		return wordsPlan(a)
	}
	if a.Question.Kind().Ascending {
		return thresholdPlan(a)
	}
	if !a.Question.CollectsRatings() {
		return []string{fmt.Sprintf("%s A test against what chance alone would give, %s, at a significance level "+
			"of %s.",
			a.Question.Kind().Asks, sidesWords(p), site.Number(p.Alpha))}
	}
	x, _ := a.Attribute(p.Attribute)
	if a.Question.Kind().Amounts {
		return amountsPlan(a, x)
	}
	if a.Question.Kind().OneDish {
		return rightAlonePlan(a, x)
	}
	lines := []string{
		mainComparison(a, x),
		howTested(a),
	}
	lines = append(append(lines, looksPlan(a)...), evidencePlan(a)...)
	if p.SmallestEffect > 0 {
		lines = append(lines, fmt.Sprintf("The smallest difference worth acting on: %s on a scale from %s to %s.",
			site.Number(p.SmallestEffect), site.Number(x.Scale.Min()), site.Number(x.Scale.Max())))
	}
	if a.Serving.Expectation {
		lines = append(lines, "As exploration: what was expected of one name against another, and of each name "+
			"against how it was rated"+waysPlanned(a)+".")
	}
	if len(a.AboutRights()) == 0 || len(a.Samples) > 2 || len(a.Averaged()) > 1 { // else about right is what else
		lines = append(lines, elseCompared(a))
	}
	return append(append(lines, profilePlan(a)...), aboutRight(a)...)
}

// waysPlanned says what else is told of what was expected.
func waysPlanned(a *study.Study) (text string) {
	for _, x := range a.Samples {
		if _, served := analysis.BlindTwin(a, x); served {
			text = "; how far the name drew the rating, from that of the same dish without a name to what was " +
				"expected, is told by its interval alone"
		}
	}
	if a.Serving.AskHalf {
		text += "; whether those who were asked rate otherwise than those who were not"
	}
	return text
}

// aboutRight says what becomes of answers about right; nothing where nobody is asked so.
func aboutRight(a *study.Study) []string {
	asked := a.AboutRights()
	if len(asked) == 0 {
		return nil
	}
	var asks []string
	for _, x := range asked {
		asks = append(asks, "“"+x.Ask+"”")
	}
	liking, _ := a.Attribute(a.Plan.Liking)
	lines := []string{fmt.Sprintf("%s: the answers are counted and never averaged. Those who say too little, and "+
		"those who "+
		"say too much, are held against those who say about right: by how much less they like it, asked as “%s”, by "+
		"a %s, with fewer than ten people in a group on the degrees of freedom of the smaller; p-values are adjusted "+
		"together by %s.", strings.Join(asks, ", "), liking.Ask, method.WelchT.Title(),
		method.Holm.Title())}
	if len(a.Samples) > 1 && a.Serving.Design != study.One {
		lines = append(lines, fmt.Sprintf("Who moved from one answer to another between two samples: by an exact "+
			"%s, with "+
			"all pairs allowed for by %s.", method.MarginalHomogeneity.Title(), method.Holm.Title()))
	}
	return lines
}

// rightAlonePlan is [AnalysisPlan] of one dish, of which an answer about right decides.
func rightAlonePlan(a *study.Study, on study.Attribute) []string {
	if len(a.Samples) == 0 {
		return []string{"Add the dish first."}
	}
	lines := append([]string{fmt.Sprintf("What decides: whether %s is about right, asked as “%s”. It is to be changed "+
		"where a fifth of the people or more say too little, or too much, and like it less, at a significance level "+
		"of %s; intervals at %s %%.", SampleWords(a, a.Samples[0].ID), on.Ask, site.Number(a.Plan.Alpha),
		site.Number(100*a.Plan.Level()))}, aboutRight(a)...)
	if liking, ok := a.Attribute(a.Plan.Liking); ok && a.Plan.SmallestEffect > 0 {
		lines = append(lines, fmt.Sprintf("The smallest drop in liking worth acting on: %s on a scale from %s to %s.",
			site.Number(a.Plan.SmallestEffect), site.Number(liking.Scale.Min()), site.Number(liking.Scale.Max())))
	}
	return lines
}

// rankingPlan is [AnalysisPlan] of an order.
func rankingPlan(a *study.Study) []string {
	asks, alpha := a.Question.Kind().Asks, site.Number(a.Plan.Alpha)
	pairs := "Of every pair it is counted who put which first, with all pairs allowed for by " +
		method.Holm.Title() + "."
	if len(a.Plan.Expected) == 0 {
		return []string{fmt.Sprintf("%s By a %s of all %d samples, at a significance level of %s; intervals at %s %%.",
			asks, method.Friedman.Title(), len(a.Samples), alpha, site.Number(100*a.Plan.Level())), pairs}
	}
	var order []string
	for _, id := range a.Plan.Expected {
		order = append(order, SampleWords(a, id))
	}
	return []string{fmt.Sprintf("%s By a %s, one-sided, at a significance level of %s.", asks, method.Page.Title(),
		alpha), "Expected from first to last: " + strings.Join(order, ", ") + ".", pairs}
}

// wordsPlan is [AnalysisPlan] of words that are ticked.
func wordsPlan(a *study.Study) []string {
	lines := []string{
		fmt.Sprintf("%s By a %s, at a significance level of %s.", a.Question.Kind().Asks, method.WordsTogether.Title(),
			site.Number(a.Plan.Alpha)),
		fmt.Sprintf("Then of each word by a %s, with all words allowed for by %s, and of each pair of samples by "+
			"an exact "+
			"%s, with the pairs of a word allowed for the same way; intervals at %s %%.", method.CochranQ.Title(),
			method.Holm.Title(), method.McNemar.Title(), site.Number(100*a.Plan.Level())),
	}
	if a.Plan.SmallestEffect > 0 {
		lines = append(lines, fmt.Sprintf("The smallest difference worth acting on: %s %% more of the people tick "+
			"a word "+
			"for one sample than for another.", site.Number(100*a.Plan.SmallestEffect)))
	}
	if beside := a.RatedBeside(); len(beside) > 0 {
		lines = append(lines, fmt.Sprintf("As exploration: how “%s” is answered with each word and without it.",
			beside[0].Ask))
	}
	return lines
}

func howTested(a *study.Study) string {
	p, title := a.Plan, a.PlannedTest().Title()
	if p.EffectOf != "" && p.Test == study.MixedF {
		return fmt.Sprintf("By the effect in a mixed model of every rating, %s, at a significance level of %s; "+
			"intervals at %s %%.",
			sidesWords(p), site.Number(p.Alpha), site.Number(100*p.Level()))
	}
	if p.Test == study.Equivalence {
		return fmt.Sprintf("The question is whether the two are practically the same: whether they differ by "+
			"less than the smallest difference worth acting on. By a %s, each at a significance level of %s; "+
			"interval at %s %%.",
			title, site.Number(p.Alpha), site.Number(100*(1-2*p.Alpha)))
	}
	if !p.HasSides() {
		return fmt.Sprintf("By %s, at a significance level of %s; intervals at %s %%.", withArticle(title),
			site.Number(p.Alpha), site.Number(100*p.Level()))
	}
	return fmt.Sprintf("By %s, %s, at a significance level of %s; intervals at %s %%.", withArticle(title),
		sidesWords(p), site.Number(p.Alpha), site.Number(100*p.Level()))
}

// elseCompared says what stands beside the main comparison.
func elseCompared(a *study.Study) string {
	p := a.Plan
	if len(a.Samples) == 2 && len(a.Averaged()) == 1 {
		return "Nothing else is compared."
	}
	switch {
	case p.EffectOf != "" && p.Adjust != study.NoAdjustment:
		return "The other effects of names and dishes, every pair that differs in one thing only, and every other " +
			"attribute are secondary; their p-values are adjusted together by " + method.Holm.Title() + "."
	case p.WholePanel && len(a.Averaged()) == 1:
		return "Every pair of samples is compared too, with all pairs allowed for."
	case p.WholePanel:
		return "Every pair of samples is compared too, with all pairs allowed for. Every other attribute is secondary."
	case p.Adjust == study.NoAdjustment:
		return "Every other comparison and attribute is secondary; their p-values are not adjusted for their number."
	default:
		return "Every other comparison and attribute is secondary; their p-values are adjusted together by " +
			method.Holm.Title() + "."
	}
}

func sidesWords(p study.AnalysisPlan) string {
	switch p.Sides {
	case study.Greater:
		return "one-sided: the first is expected higher"
	case study.Less:
		return "one-sided: the first is expected lower"
	default:
		return "two-sided"
	}
}

// SampleWords names a sample by what the taster hears, or as served blind.
func SampleWords(a *study.Study, id study.SampleID) string {
	if name := a.NameText(id); name != "" {
		return fmt.Sprintf("“%s” (sample %s)", name, id)
	}
	x, _ := a.Sample(id)
	d, _ := a.Dish(x.Dish)
	return fmt.Sprintf("%s served blind (sample %s)", d.Title, id)
}

// mainComparison says what the plan compares, on the attribute that decides.
func mainComparison(a *study.Study, on study.Attribute) string {
	if a.Plan.EffectOf != "" {
		return effectCompared(a, on)
	}
	if a.Plan.WholePanel {
		return fmt.Sprintf("The main comparison: all %d samples together, on “%s”.", len(a.Samples), on.Ask)
	}
	return fmt.Sprintf("The main comparison: %s minus %s, on “%s”.", SampleWords(a, a.Plan.Compare[0]),
		SampleWords(a, a.Plan.Compare[1]), on.Ask)
}

// withArticle puts a or an before a title; F is read as a vowel.
func withArticle(title string) string {
	if strings.HasPrefix(title, "F ") {
		return "an " + title
	}
	return "a " + title
}
