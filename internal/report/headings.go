package report

import (
	"fmt"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// headingsOf makes the headings of a table, and what a reader needs to know of its
// differences, intervals and p-values.
func headingsOf(s *study.Study, findings []analysis.Finding) Headings {
	h := Headings{Difference: "Difference", Moved: "Up / down / same", Interval: percent(s.Plan.Level()) + " interval"}
	family, secondary, strata, sameness := 0, 0, 0, 0.0
	within, asked, modelled := "Differences of means", "", false
	for _, f := range findings {
		family = max(family, f.Family)
		if f.Verdict.Sameness {
			sameness, asked = f.Stated().Level, equivalenceOf(f).Title()
			if t := f.Choice.Told; t != nil && t.Alike != nil {
				h.Below = append(h.Below, fmt.Sprintf("The interval is one-sided, at %s: it says how many answers "+
					"may be "+
					"right at most.", levelWords(sameness)))
			}
		}
		if f.Role == analysis.Secondary {
			secondary++
		}
		if f.Measure == method.HodgesLehmann {
			h.Difference = "Median difference"
		}
		modelled = modelled || f.Measure == method.ModelDifference
		if f.Kind == analysis.KindGroups {
			h.Moved = "First above second"
			strata = max(strata, f.Groups.Strata)
			if f.Measure == method.HodgesLehmannWithin {
				within = "Differences"
			}
		}
	}
	if strata > 1 {
		h.Below = append(h.Below, fmt.Sprintf("%s are those within the %d groups of guests "+
			"that the plan keeps apart, "+
			"so that they need not be the difference of the two means.", within, strata))
	}
	if modelled {
		h.Below = append(h.Below, "Differences are those of a model of every rating, so that they need not be the "+
			"difference of the two means: means, and how many went up or down, are of those who rated both samples.")
	}
	if h.Moved != "Up / down / same" {
		h.Below = append(h.Below, "First above second: how often somebody with the first sample rates above "+
			"somebody with the second, "+
			"ties counted half.")
	}
	if h.Difference != "Difference" {
		h.Below = append(h.Below, "The median difference is that of Hodges and Lehmann, whose interval goes with "+
			"the signed-rank test; "+
			"it need not be the difference of the means.")
	}
	switch {
	case sameness > 0 && len(findings) == 1:
		h.Interval = levelWords(sameness) + " interval"
	case sameness > 0:
		h.Interval = "interval"
		h.Below = append(h.Below, fmt.Sprintf("The primary finding has its %s interval, which goes with the %s; "+
			"the others are tested for a difference.",
			levelWords(sameness), asked))
	}
	switch {
	case family > 0:
		h.Interval = "interval"
		h.Below = append(h.Below, adjustedNote(s.Plan, family, sameness > 0))
	case secondary > 1 && s.Plan.Adjust == study.NoAdjustment:
		h.Below = append(h.Below, "Neither p nor the intervals are adjusted for the number of comparisons.")
	}
	return h
}

// adjustedNote says how secondary findings are adjusted.
func adjustedNote(p study.AnalysisPlan, family int, primaryTold bool) string {
	primary := fmt.Sprintf("The primary finding has its %s interval and its own p. ", percent(p.Level()))
	if primaryTold {
		primary = ""
	}
	return primary + fmt.Sprintf("The %[2]d secondary findings are adjusted for their number: "+
		"p by %[4]s, intervals by %[5]s (%[3]s each), so that all of them together hold the true values with "+
		"%[1]s confidence.",
		percent(p.Level()), family, levelWords(1-p.Alpha/float64(family)), method.Holm.Title(),
		method.Bonferroni.Title())
}
