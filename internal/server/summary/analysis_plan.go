package summary

import (
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/server/site"
	"cloche/internal/study"
	"cloche/internal/words"
)

// AnalysisPlan says the analysis plan in words.
func AnalysisPlan(w site.Tongue, a *study.Study) []string {
	lines := planLines(w, a)
	for i, x := range lines {
		lines[i] = w.Translate(x) // those that are said as they stand
	}
	return lines
}

func planLines(w site.Tongue, a *study.Study) []string {
	p := a.Plan
	if a.Question.Response() == study.RankAll {
		return rankingPlan(w, a)
	}
	if a.Question.Kind().Tells {
		return toldPlan(w, a)
	}
	if a.Question.Response() == study.TickWords {
		return wordsPlan(w, a)
	}
	if a.Question.Kind().Ascending {
		return thresholdPlan(w, a)
	}
	if !a.Question.CollectsRatings() {
		return []string{w.Translate("%s A test against what chance alone would give, %s, at a significance level "+
			"of %s.",
			w.Translate(a.Question.Kind().Asks), sidesWords(w, p), num(w, p.Alpha))}
	}
	x, _ := a.Attribute(p.Attribute)
	if a.Question.Kind().Amounts {
		return amountsPlan(w, a, x)
	}
	if a.Question.Kind().OneDish {
		return rightAlonePlan(w, a, x)
	}
	lines := []string{
		mainComparison(w, a, x),
		howTested(w, a),
	}
	lines = append(append(lines, looksPlan(w, a)...), evidencePlan(w, a)...)
	lines = append(lines, explained(a)...)
	if p.SmallestEffect > 0 {
		lines = append(lines, w.Translate("The smallest difference worth acting on: %s on a scale from %s to %s.",
			num(w, p.SmallestEffect), num(w, x.Scale.Min()), num(w, x.Scale.Max())))
	}
	if a.Serving.Expectation {
		lines = append(lines, w.Translate("As exploration: what was expected of one name against another, and of "+
			"each name against how it was rated")+waysPlanned(w, a)+".")
	}
	if len(a.AboutRights()) == 0 || len(a.Samples) > 2 || len(a.Averaged()) > 1 { // else about right is what else
		lines = append(lines, elseCompared(w, a))
	}
	return append(append(lines, profilePlan(w, a)...), aboutRight(w, a)...)
}

// waysPlanned says what else is told of what was expected.
func waysPlanned(w site.Tongue, a *study.Study) (text string) {
	for _, x := range a.Samples {
		if _, served := analysis.BlindTwin(a, x); served {
			text = w.Translate("; how far the name drew the rating, from that of the same dish without a name " +
				"to what " +
				"was expected, is told by its interval alone")
		}
	}
	if a.Serving.AskHalf {
		text += w.Translate("; whether those who were asked rate otherwise than those who were not")
	}
	return text
}

// aboutRight says what becomes of answers about right; nothing where nobody is asked so.
func aboutRight(w site.Tongue, a *study.Study) []string {
	asked := a.AboutRights()
	if len(asked) == 0 {
		return nil
	}
	var asks []string
	for _, x := range asked {
		asks = append(asks, "“"+x.Ask+"”")
	}
	liking, _ := a.Attribute(a.Plan.Liking)
	lines := []string{w.Translate("%s: the answers are counted and never averaged. Those who say too little, and "+
		"those who "+
		"say too much, are held against those who say about right: by how much less they like it, asked as “%s”, by "+
		"a %s, with fewer than ten people in a group on the degrees of freedom of the smaller; p-values are adjusted "+
		"together by %s.", strings.Join(asks, ", "), liking.Ask, w.Translate(method.WelchT.Title()),
		w.Translate(method.Holm.Title()))}
	if len(a.Samples) > 1 && a.Serving.Design != study.One {
		lines = append(lines, w.Translate("Who moved from one answer to another between two samples: by an exact "+
			"%s, with "+
			"all pairs allowed for by %s.", w.Translate(method.MarginalHomogeneity.Title()),
			w.Translate(method.Holm.Title())))
	}
	return lines
}

// rightAlonePlan is [AnalysisPlan] of one dish, of which an answer about right decides.
func rightAlonePlan(w site.Tongue, a *study.Study, on study.Attribute) []string {
	if len(a.Samples) == 0 {
		return []string{"Add the dish first."}
	}
	lines := append([]string{w.Translate("What decides: whether %s is about right, asked as “%s”. It is to be changed "+
		"where a fifth of the people or more say too little, or too much, and like it less, at a significance level "+
		"of %s; intervals at %s %%.", SampleWords(w, a, a.Samples[0].ID), on.Ask, num(w, a.Plan.Alpha),
		num(w, 100*a.Plan.Level()))}, aboutRight(w, a)...)
	if liking, ok := a.Attribute(a.Plan.Liking); ok && a.Plan.SmallestEffect > 0 {
		lines = append(lines, w.Translate("The smallest drop in liking worth acting on: %s on a scale from %s to %s.",
			num(w, a.Plan.SmallestEffect), num(w, liking.Scale.Min()), num(w, liking.Scale.Max())))
	}
	return lines
}

// rankingPlan is [AnalysisPlan] of an order.
func rankingPlan(w site.Tongue, a *study.Study) []string {
	asks, alpha := w.Translate(a.Question.Kind().Asks), num(w, a.Plan.Alpha)
	pairs := w.Translate("Of every pair it is counted who put which first, with all pairs allowed for by %s.",
		w.Translate(method.Holm.Title()))
	if len(a.Plan.Expected) == 0 {
		return []string{w.Translate("%s By a %s of all %d samples, at a significance level of %s; intervals at %s %%.",
			asks, w.Translate(method.Friedman.Title()), len(a.Samples), alpha, num(w, 100*a.Plan.Level())), pairs}
	}
	var order []string
	for _, id := range a.Plan.Expected {
		order = append(order, SampleWords(w, a, id))
	}
	return []string{w.Translate("%s By a %s, one-sided, at a significance level of %s.", asks,
		w.Translate(method.Page.Title()),
		alpha), w.Translate("Expected from first to last: %s.", strings.Join(order, ", ")), pairs}
}

// wordsPlan is [AnalysisPlan] of words that are ticked.
func wordsPlan(w site.Tongue, a *study.Study) []string {
	lines := []string{
		w.Translate("%s By a %s, at a significance level of %s.", w.Translate(a.Question.Kind().Asks),
			w.Translate(method.WordsTogether.Title()),
			num(w, a.Plan.Alpha)),
		w.Translate("Then of each word by a %s, with all words allowed for by %s, and of each pair of samples by "+
			"an exact "+
			"%s, with the pairs of a word allowed for the same way; intervals at %s %%.",
			w.Translate(method.CochranQ.Title()),
			w.Translate(method.Holm.Title()), w.Translate(method.McNemar.Title()), num(w, 100*a.Plan.Level())),
	}
	if a.Plan.SmallestEffect > 0 {
		lines = append(lines, w.Translate("The smallest difference worth acting on: %s %% more of the people tick "+
			"a word "+
			"for one sample than for another.", num(w, 100*a.Plan.SmallestEffect)))
	}
	if beside := a.RatedBeside(); len(beside) > 0 {
		lines = append(lines, w.Translate("As exploration: how “%s” is answered with each word and without it.",
			beside[0].Ask))
	}
	return lines
}

func howTested(w site.Tongue, a *study.Study) string {
	p, title := a.Plan, w.Translate(a.PlannedTest().Title())
	if p.EffectOf != "" && p.Test == study.MixedF {
		return w.Translate("By the effect in a mixed model of every rating, %s, at a significance level of %s; "+
			"intervals at %s %%.",
			sidesWords(w, p), num(w, p.Alpha), num(w, 100*p.Level()))
	}
	if p.Test == study.Equivalence {
		return w.Translate("The question is whether the two are practically the same: whether they differ by "+
			"less than the smallest difference worth acting on. By a %s, each at a significance level of %s; "+
			"interval at %s %%.",
			title, num(w, p.Alpha), num(w, 100*(1-2*p.Alpha)))
	}
	if !p.HasSides() {
		return w.Translate("By %s, at a significance level of %s; intervals at %s %%.", withArticle(w, title),
			num(w, p.Alpha), num(w, 100*p.Level()))
	}
	return w.Translate("By %s, %s, at a significance level of %s; intervals at %s %%.", withArticle(w, title),
		sidesWords(w, p), num(w, p.Alpha), num(w, 100*p.Level()))
}

// elseCompared says what stands beside the main comparison.
func elseCompared(w site.Tongue, a *study.Study) string {
	p := a.Plan
	if len(a.Samples) == 2 && len(a.Averaged()) == 1 {
		return "Nothing else is compared."
	}
	switch {
	case p.EffectOf != "" && p.Adjust != study.NoAdjustment:
		return w.Translate("The other effects of names and dishes, every pair that differs in one thing only, and "+
			"every other attribute are secondary; their p-values are adjusted together by %s.",
			w.Translate(method.Holm.Title()))
	case p.WholePanel && len(a.Averaged()) == 1:
		return "Every pair of samples is compared too, with all pairs allowed for."
	case p.WholePanel:
		return "Every pair of samples is compared too, with all pairs allowed for. Every other attribute is secondary."
	case p.Adjust == study.NoAdjustment:
		return "Every other comparison and attribute is secondary; their p-values are not adjusted for their number."
	default:
		return w.Translate("Every other comparison and attribute is secondary; their p-values are adjusted together "+
			"by %s.", w.Translate(method.Holm.Title()))
	}
}

func sidesWords(w site.Tongue, p study.AnalysisPlan) string {
	switch p.Sides {
	case study.Greater:
		return w.Translate("one-sided: the first is expected higher")
	case study.Less:
		return w.Translate("one-sided: the first is expected lower")
	default:
		return w.Translate("two-sided")
	}
}

// SampleWords names a sample by what the taster hears, or as served blind.
func SampleWords(w site.Tongue, a *study.Study, id study.SampleID) string {
	if name := a.NameText(id); name != "" {
		return w.Translate("“%s” (sample %s)", name, id)
	}
	x, _ := a.Sample(id)
	d, _ := a.Dish(x.Dish)
	return w.Translate("%s served blind (sample %s)", d.Title, id)
}

// mainComparison says what the plan compares, on the attribute that decides.
func mainComparison(w site.Tongue, a *study.Study, on study.Attribute) string {
	if a.Plan.EffectOf != "" {
		return effectCompared(w, a, on)
	}
	if a.Plan.WholePanel {
		return w.Translate("The main comparison: all %d samples together, on “%s”.", len(a.Samples), on.Ask)
	}
	return w.Translate("The main comparison: %s minus %s, on “%s”.", SampleWords(w, a, a.Plan.Compare[0]),
		SampleWords(w, a, a.Plan.Compare[1]), on.Ask)
}

// withArticle puts a or an before a title; F is read as a vowel.
func withArticle(w site.Tongue, title string) string {
	if w.Tag() != words.In("").Tag() {
		return title // its words stand as they are
	}
	if strings.HasPrefix(title, "F ") {
		return "an " + title
	}
	return "a " + title
}

// num writes a number as the language does.
func num(w site.Tongue, x float64) string { return strings.Replace(site.Number(x), ".", w.Decimal, 1) }
