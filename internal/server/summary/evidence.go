package summary

import (
	"math"

	"cloche/internal/analysis"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// evidencePlan says how evidence is counted, when it is enough, and who learns what; nothing where none is.
func evidencePlan(w site.Tongue, a *study.Study) []string {
	p := a.Plan
	if p.Evidence == "" {
		return nil
	}
	how := w.Translate("a t mixture, with a prior N(0, %s) on the mean over the standard deviation of people’s "+
		"differences; beside it, as a guard against lopsided differences, bets that need only the ends of the scale",
		num(w, p.EvidenceAt*p.EvidenceAt))
	if p.Evidence == study.ByBetting {
		how = w.Translate("bets that need only the ends of the scale; beside it, a t mixture with a prior N(0, %s) "+
			"on the "+
			"mean over the standard deviation of people’s differences", num(w, p.EvidenceAt*p.EvidenceAt))
	}
	return []string{
		w.Translate("Evidence for a difference is counted after everybody who has rated both, from %d people on, "+
			"by %s. "+
			"Tasting stops as soon as it stands at %s, at %d people at the latest. However often one looks, the "+
			"risk of a "+
			"false alarm stays below %s.", study.FewestForEvidence, how, w.Tell(analysis.OddsSaid(-math.Log(p.Alpha))),
			a.PlannedPeople(), num(w, p.Alpha)),
		"The service counts. The partner, who must not serve, sees the numbers; lead and floor learn “go on” or " +
			"“enough”, everybody else nothing. Other attributes and comparisons are not protected.",
	}
}
