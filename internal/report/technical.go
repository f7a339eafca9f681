package report

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// technicalOf is the part for whoever checks the work.
func technicalOf(s *study.Study, r *analysis.Result) Technical {
	plan := s.Plan
	t := Technical{PlanHash: r.PlanHash, Excluded: leftOutLines(r.Excluded), Methods: methodsUsed(r),
		Assumptions: assumptions(plan, r)}
	intervals := fmt.Sprintf("two-sided, %s", percent(plan.Level()))
	if s.Question.Kind().Tells {
		if plan.Test == study.Equivalence {
			intervals += fmt.Sprintf("; the limit held against the share that matters: one-sided, %s",
				percent(1-plan.Beta))
		}
	} else if plan.SmallestEffect > 0 && plan.Alpha < 0.5 {
		intervals += fmt.Sprintf("; held against the smallest effect to say “practically the same”: %s",
			percent(1-2*plan.Alpha))
	}
	t.Facts = append(plannedFacts(s, r), Fact{"Intervals", intervals})
	t.Facts = append(t.Facts, lookFacts(s, r)...)
	if len(twoSamples(r.Findings)) > 2 { // one secondary finding alone needs no adjustment
		t.Facts = append(t.Facts, Fact{"Secondary comparisons", adjustText(plan.Adjust)})
	}
	if plan.SmallestEffect > 0 {
		t.Facts = append(t.Facts, Fact{"Smallest difference worth acting on", smallestText(s)})
	}
	if s.TurnServings() > 1 {
		t.Facts = append(t.Facts, Fact{"Tasting again within a tray", tastingAgain(s)})
	}
	if len(s.Dishes) > 0 {
		t.Facts = append(t.Facts, Fact{"What was served contains", s.Contents().Words()})
	}
	if h := r.Stopping; h != nil {
		t.Facts = append(t.Facts, Fact{"Planned end of tasting", h.Planned},
			Fact{"What happened", h.Happened + ": " + asPlanned(h)})
	}
	for _, v := range r.Versions {
		if v.This {
			t.Facts = append(t.Facts, Fact{"Version of the plan", fmt.Sprintf("%d of %d", v.Number, len(r.Versions))})
		}
	}
	if r.Signed != nil {
		t.Facts = append(t.Facts, Fact{"Countersigned before the first rating",
			fmt.Sprintf("%s, %s", r.Signed.Name, r.Signed.At)})
	}
	if r.Stamped != nil {
		t.Facts = append(t.Facts, Fact{"Time stamp of an outside authority", StampWords(*r.Stamped, fmt.Sprintf)})
	}
	t.Facts = append(t.Facts, afterCloseFacts(r.AfterClose)...)
	return t
}

// StampWords say what a time stamp shows, and what it does not, in the language of say.
func StampWords(x analysis.TimeStamp, say analysis.Say) string {
	when := say("before the first sitting was opened")
	if !x.BeforeOpening {
		when = say("after the first sitting was opened: it shows that the plan existed by then, not that nobody had " +
			"tasted")
	}
	return say("%s, %s. By “%s”, whose certificate is from “%s” and has the SHA-256 fingerprint %s. The "+
		"signature was checked with the certificate in the answer; whether this authority is to be trusted is for the "+
		"reader to judge.", x.At, when, x.Authority, x.Issuer, x.Fingerprint)
}

// tastingAgain says whether people may have gone back to a plate of their tray.
func tastingAgain(s *study.Study) string {
	if s.Serving.TasteOnce {
		return "not allowed: each plate was to be tasted once, in the order given"
	}
	return "allowed: how often people went back to a plate is not known"
}

// plannedFacts are who answered, and what was to be tested how.
func plannedFacts(s *study.Study, r *analysis.Result) []Fact {
	plan := s.Plan
	how := fmt.Sprintf(", %s, alpha %g", sidesText(plan.Sides), plan.Alpha)
	switch {
	case plan.Test == study.Equivalence:
		how = fmt.Sprintf(", each at alpha %g", plan.Alpha)
	case !plan.HasSides():
		how = fmt.Sprintf(", alpha %g", plan.Alpha)
	}
	if s.Question.Kind().Ascending {
		return thresholdFacts(s, r)
	}
	if s.Question.CollectsRatings() {
		primary, _ := s.Attribute(plan.Attribute)
		if s.Question.Kind().Amounts {
			return doseFacts(s, r, how)
		}
		if s.Question.Kind().OneDish {
			return []Fact{
				{"Assessors with answers", strconv.Itoa(r.Assessors)},
				{"What decides", fmt.Sprintf("whether %s is about right, “%s”", analysis.Label(s, s.Samples[0].ID),
					primary.Ask)},
				{"Planned test", fmt.Sprintf("%s of the drop in “%s”, both sides adjusted by %s, alpha %g",
					s.PlannedTest().Title(), askOf(s, plan.Liking), method.Holm.Title(), plan.Alpha)},
			}
		}
		compared := "all samples"
		if plan.EffectOf != "" {
			compared = factorWords(s, r.Findings[0])
		} else if !plan.WholePanel {
			compared = analysis.Label(s, plan.Compare[0]) + " minus " + analysis.Label(s, plan.Compare[1])
		}
		return []Fact{
			{"Assessors with ratings", strconv.Itoa(r.Assessors)},
			{"Primary comparison", fmt.Sprintf("%s on “%s”", compared, primary.Ask)},
			{"Planned test", s.PlannedTest().Title() + how + withinStrata(r)},
		}
	}
	test, c := method.Binomial, r.Findings[0].Choice
	switch {
	case r.Findings[0].Kind == analysis.KindRanking:
		test, how = method.Friedman, fmt.Sprintf(" of all samples, alpha %g", plan.Alpha)
		if len(plan.Expected) > 0 {
			test, how = method.Page, fmt.Sprintf(", %s, alpha %g", expectedOrder(s), plan.Alpha)
		}
	case r.Findings[0].Kind == analysis.KindWords:
		list, _ := s.Words()
		return []Fact{
			{"Assessors with answers", strconv.Itoa(r.Assessors)},
			{"Asked", list.Ask},
			{"Planned test", fmt.Sprintf("%s (%d shuffles), alpha %g; then each word by a %s with all words "+
				"allowed for by "+
				"%s", method.WordsTogether.Title(), r.Findings[0].Words.Draws, plan.Alpha, method.CochranQ.Title(),
				method.Holm.Title())},
			{"Order of the words", "squares of Williams over assessors and served positions"},
		}
	case c.Said != nil:
		test = r.Findings[0].Test.Method
		how = fmt.Sprintf(", one-sided (said more often where it is true), alpha %g", plan.Alpha)
	case c.Told != nil && c.Told.Early != nil:
		test, how = method.Sequential, earlyFact(plan, c.Told.Early.Most)
	case c.Told != nil && c.Told.Alike != nil:
		test, how = method.Similarity, fmt.Sprintf(", one-sided, beta %g; beside it the %s of a difference, alpha %g",
			plan.Beta, method.Binomial.Title(), plan.Alpha)
	case c.Told != nil:
		how = fmt.Sprintf(", one-sided (more right answers than guessing gives), alpha %g", plan.Alpha)
	}
	facts := []Fact{
		{"Assessors with answers", strconv.Itoa(r.Assessors)},
		{"Asked", s.TurnAsk()},
		{"Planned test", test.Title() + how},
	}
	switch plan.Undecided {
	case study.DropUndecided:
		facts = append(facts, Fact{"Who chooses none", "is counted and shown; the test is of those who chose"})
	case study.SplitUndecided:
		facts = append(facts, Fact{"Who chooses none", "counts half for each; an odd one counts for neither"})
	}
	return facts
}

// expectedOrder are the samples in the order in which they are expected.
func expectedOrder(s *study.Study) string {
	var all []string
	for _, id := range s.Plan.Expected {
		all = append(all, analysis.Label(s, id))
	}
	return strings.Join(all, " before ")
}

// withinStrata says that groups are compared within strata, as the plan keeps them even
// within those.
func withinStrata(r *analysis.Result) string {
	if f := r.Findings[0]; f.Groups.Strata > 1 {
		return fmt.Sprintf("; within the %d strata of the plan that came", f.Groups.Strata)
	}
	return ""
}

// smallestText is the smallest effect worth acting on, as words.
func smallestText(s *study.Study) string {
	if s.Question.CollectsRatings() {
		primary, _ := s.WorthOn()
		if s.Question.Kind().Amounts {
			return fmt.Sprintf("%s for each %s more", countedPoints(s.Plan.SmallestEffect, primary.Scale),
				s.AmountsIn.One())
		}
		return countedPoints(s.Plan.SmallestEffect, primary.Scale)
	}
	if s.Question.Kind().Tells {
		return fmt.Sprintf("%s of the people truly telling the two apart", shareWords(s.Plan.SmallestEffect))
	}
	if s.Question.Response() == study.RankAll {
		return fmt.Sprintf("%s who put one before another", shareWords(s.Plan.SmallestEffect))
	}
	if s.Question.Response() == study.TickWords {
		return fmt.Sprintf("%s more who tick a word for one sample than for another", shareWords(s.Plan.SmallestEffect))
	}
	return fmt.Sprintf("%s of those who choose", shareWords(s.Plan.SmallestEffect))
}

// asPlanned says whether tasting ended as the plan said; in what it did not is among
// the remarks.
func asPlanned(h *analysis.Stopping) string {
	if len(h.Deviations) == 0 {
		return "as planned"
	}
	return "not as planned, see the remarks"
}

// afterCloseFacts say what happened to the answers after the study was closed.
func afterCloseFacts(a analysis.AfterClose) (facts []Fact) {
	if a.Servings > 0 {
		facts = append(facts, Fact{"Answers that arrived after the close, kept aside",
			fmt.Sprintf("servings: %d, assessors: %d", a.Servings, a.Assessors)})
	}
	if len(a.Withdrawn) > 0 {
		facts = append(facts, Fact{"Version of the findings",
			fmt.Sprintf("%d: answers deleted at %s", a.FindingsVersion(), strings.Join(a.Withdrawn, ", "))})
	}
	return facts
}

// leftOutLines tells who is left out of the study, and who of some comparison only.
func leftOutLines(list []analysis.Exclusion) []string {
	lines := exclusionLines(list)
	for i, e := range list {
		if analysis.FromComparisons(e.Reason) {
			lines[i] = fmt.Sprintf("%d, of one comparison or more: %s", e.Count, e.Reason)
		}
	}
	return lines
}

func sidesText(s study.Sides) string {
	switch s {
	case study.Greater:
		return "one-sided (first sample greater)"
	case study.Less:
		return "one-sided (first sample less)"
	}
	return "two-sided"
}

func adjustText(a study.Adjustment) string {
	if a == study.NoAdjustment {
		return "not adjusted for their number"
	}
	return "adjusted together: p by " + method.Holm.Title() + ", intervals by " + method.Bonferroni.Title()
}

// computed reports whether there was anything to compute a finding from.
func computed(f analysis.Finding) bool {
	return f.N > 0 && (f.Kind != analysis.KindPanel || len(f.Panel.Estimates) > 0)
}

// assumptions are those of what was computed; none when nothing was.
func assumptions(plan study.AnalysisPlan, r *analysis.Result) []string {
	compared, left := false, false
	for _, f := range r.Findings {
		compared, left = compared || computed(f), left || len(f.Excluded) > 0
	}
	if !compared {
		return nil
	}
	list := []string{"Assessors answered independently of each other."}
	pairs, groups := twoSamples(r.Findings), ofKind(r.Findings, analysis.KindGroups)
	planned := cmp.Or(method.ID(plan.Test), r.Findings[0].Test.Method)
	if r.Findings[0].Kind == analysis.KindChoice { // which has a test of its own for whether two are alike
		planned = r.Findings[0].Test.Method
	}
	if len(groups) > 0 {
		planned = groups[0].Test.Method
	}
	if assumed := planned.Assumes(); assumed != "" && (len(pairs) == 0 || slices.ContainsFunc(pairs, computed)) {
		list = append(list, assumed)
	}
	if len(groups) > 0 {
		return append(list, "Who gets which sample was drawn at random, so that the groups differ by chance "+
			"alone in all but what they were served.")
	}
	balanced := "Orders of serving are balanced, so that what comes first favours neither sample"
	if c := r.Findings[0].Choice; c.Told == nil && c.Said == nil {
		balanced += "; the order is checked where it is known"
	}
	list = append(list, balanced+".")
	for _, f := range ofKind(r.Findings, analysis.KindPanel) {
		if len(f.Panel.Estimates) > 0 {
			if of := method.MixedF.Assumes(); !slices.Contains(list, of) {
				list = append(list, "Of all samples together: "+of)
			}
			break
		}
	}
	if left {
		list = append(list, "Assessors who did not rate both samples would not have answered otherwise than those "+
			"who did.")
	}
	return list
}
