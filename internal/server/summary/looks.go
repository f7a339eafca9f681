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
func looksPlan(a *study.Study) []string {
	planned, err := analysis.PlannedLooks(a)
	if err != nil || len(planned) == 0 {
		return nil
	}
	var each []string
	for _, l := range planned {
		needs := fmt.Sprintf("stops from |t| = %s on, p %s", site.Number(math.Round(100*l.Critical)/100),
			upTo(l.Bound.P))
		if math.IsInf(l.Critical, 1) {
			needs = "cannot stop: nothing of α is spent by then"
		}
		each = append(each, fmt.Sprintf("at %d people (%s)", l.People, needs))
	}
	how := "almost nothing is spent early (O’Brien and Fleming)"
	if a.Plan.Spending == study.SpendEvenly {
		how = "about as much is spent at each (Pocock)"
	}
	return []string{
		fmt.Sprintf("Looks: %s. A look comes at the end of the sitting by which so many have rated both, and its "+
			"bound "+
			"follows from how many really have; tasting stops at the first that reaches it. Over all of them the "+
			"risk of a false alarm is %s: %s.", strings.Join(each, "; "), site.Number(a.Plan.Alpha), how),
		"The service computes each look. The partner, who must not serve, sees its numbers; lead and floor learn " +
			"“go on” or “enough”, everybody else nothing. Other attributes and comparisons are not protected by " +
			"these looks.",
	}
}

// upTo writes a bound of p.
func upTo(p float64) string {
	if p < 0.0001 {
		return "below 0.0001"
	}
	return fmt.Sprintf("%.4f", p)
}
