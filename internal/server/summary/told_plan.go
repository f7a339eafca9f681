package summary

import (
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// toldPlan is [AnalysisPlan] of right answers: whether people tell two samples apart, or
// whether so few do that they pass for the same.
func toldPlan(w site.Tongue, a *study.Study) []string {
	p := a.Plan
	apart := w.Translate("%s A test against what guessing alone would give, one-sided, at a significance level of %s.",
		w.Translate(a.Question.Kind().Asks), num(w, p.Alpha))
	if p.StopEarly {
		most := a.Panel.Assessors
		if p.StopAfter > 0 {
			most = p.StopAfter
		}
		return []string{w.Translate("%s Answers are counted as they come, and tasting stops as soon as they "+
			"decide: that "+
			"people tell the two apart, at a risk of %s where everybody guesses (alpha), or that so few do that "+
			"it passes "+
			"unnoticed, at a risk of %s where %s %% truly tell (beta). By Wald’s two lines.",
			w.Translate(a.Question.Kind().Asks),
			num(w, p.Alpha), num(w, p.Beta), num(w, 100*p.SmallestEffect)),
			w.Translate("After %d answers at the latest it ends; between the lines the answer then stays open.", most)}
	}
	if p.Test != study.Equivalence {
		lines := []string{apart}
		if p.SmallestEffect > 0 {
			lines = append(lines, w.Translate("What would be acted on: %s %% of the people or more truly tell the "+
				"two apart.",
				num(w, 100*p.SmallestEffect)))
		}
		return lines
	}
	return []string{
		w.Translate("The question is whether so few people tell the two apart that it passes unnoticed: fewer "+
			"than %s %%. "+
			"By an exact one-sided test; the risk of saying so when just that many tell is %s (beta).",
			num(w, 100*p.SmallestEffect), num(w, p.Beta)),
		w.Translate("Beside it, with a risk of its own: %s That no difference is found never shows that there is none.",
			apart),
	}
}
