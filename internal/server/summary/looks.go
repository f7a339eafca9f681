package summary

import (
	"fmt"
	"math"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// looksPlan says when the plan looks, what each look needs, and who learns what; nothing where
// there is one look only.
func looksPlan(w site.Tongue, a *study.Study) []string {
	planned, err := analysis.PlannedLooks(a)
	if err != nil || len(planned) == 0 {
		return nil
	}
	var each []string
	for _, l := range planned {
		needs := w.Translate("stops from |t| = %s on, p %s", num(w, math.Round(100*l.Critical)/100),
			upTo(w, l.Bound.P))
		if math.IsInf(l.Critical, 1) {
			needs = w.Translate("cannot stop: nothing of α is spent by then")
		}
		each = append(each, w.Translate("at %d people (%s)", l.People, needs))
	}
	how := w.Translate("almost nothing is spent early (O’Brien and Fleming)")
	if a.Plan.Spending == study.SpendEvenly {
		how = w.Translate("about as much is spent at each (Pocock)")
	}
	return []string{
		w.Translate("Looks: %s. A look comes at the end of the sitting by which so many have rated both, and its "+
			"bound "+
			"follows from how many really have; tasting stops at the first that reaches it. Over all of them the "+
			"risk of a false alarm is %s: %s.", strings.Join(each, "; "), num(w, a.Plan.Alpha), how),
		"The service computes each look. The partner, who must not serve, sees its numbers; lead and floor learn " +
			"“go on” or “enough”, everybody else nothing. Other attributes and comparisons are not protected by " +
			"these looks.",
	}
}

// upTo writes a bound of p.
func upTo(w site.Tongue, p float64) string {
	if p < 0.0001 {
		return w.Translate("below %s", num(w, 0.0001))
	}
	return strings.Replace(fmt.Sprintf("%.4f", p), ".", w.Decimal, 1)
}
