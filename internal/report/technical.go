package report

import (
	"fmt"
	"strconv"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// technicalOf is the part for whoever checks the work.
func technicalOf(s *study.Study, r *analysis.Result) Technical {
	plan := s.Plan
	t := Technical{PlanHash: r.PlanHash, Excluded: exclusionLines(r.Excluded), Methods: methods,
		Assumptions: assumptions(plan)}
	primary, _ := s.Attribute(plan.Attribute)
	t.Facts = []Fact{
		{"Assessors with ratings", strconv.Itoa(r.Assessors)},
		{"Primary comparison", fmt.Sprintf("%s minus %s on “%s”", analysis.Label(s, plan.Compare[0]), analysis.Label(s, plan.Compare[1]), primary.Ask)},
		{"Planned test", fmt.Sprintf("%s, %s, alpha %g", testTitle(plan.Test), sidesText(plan.Sides), plan.Alpha)},
		{"Intervals", fmt.Sprintf("two-sided, %s", percent(plan.Level()))},
		{"Secondary comparisons", adjustText(plan.Adjust)},
	}
	if plan.SmallestEffect > 0 {
		t.Facts = append(t.Facts, Fact{"Smallest difference worth acting on", fmt.Sprintf("%g %s", plan.SmallestEffect, points(primary.Scale))})
	}
	for _, v := range r.Versions {
		if v.This {
			t.Facts = append(t.Facts, Fact{"Version of the plan", fmt.Sprintf("%d of %d", v.Number, len(r.Versions))})
		}
	}
	if r.Signed != nil {
		t.Facts = append(t.Facts, Fact{"Countersigned before the first rating", fmt.Sprintf("%s, %s", r.Signed.Name, r.Signed.At)})
	}
	return t
}

func testTitle(t study.Test) string {
	if t == study.SignedRank {
		return "Wilcoxon signed-rank test"
	}
	return "paired t test"
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
	return "p adjusted together by Holm’s method"
}

func assumptions(plan study.AnalysisPlan) []string {
	list := []string{
		"Assessors answered independently of each other.",
		"The differences are near normal, or numerous enough for their mean to be; strong skewness is flagged.",
		"Orders of serving are balanced, so that what comes first favours neither sample; the order is checked where it is known.",
		"Assessors who did not rate both samples would not have answered otherwise than those who did.",
	}
	if plan.Test == study.SignedRank {
		list[1] = "The differences lie symmetrically about their centre; strong skewness is flagged."
	}
	return list
}

// methods name the source of each method used.
var methods = []string{
	"Paired t test and its interval: Student (1908), Biometrika 6:1.",
	"Signed-rank test, exact given ties, zeros ranked and left out: Wilcoxon (1945), Biom. Bull. 1:80; Pratt (1959), J. Am. Stat. Assoc. 54:655.",
	"Sign test: Dixon & Mood (1946), J. Am. Stat. Assoc. 41:557. Median difference with the interval of order statistics: Conover (1999), sect. 3.2.",
	"Cohen’s d_z: Cohen (1988), sect. 2.3.5; interval from the noncentral t distribution: Cumming & Finch (2001), Educ. Psychol. Meas. 61:532; g_z: Hedges (1981), J. Educ. Stat. 6:107.",
	"Adjustment of secondary comparisons: Holm (1979), Scand. J. Stat. 6:65.",
	"First against second serving and carry-over: Hills & Armitage (1979), Br. J. Clin. Pharmacol. 8:7; carry-over is read at 10 % (Grizzle 1965) and has little power (Freeman 1989).",
	"Position over more than two servings: F test of the additive model, Searle (1971), Linear Models, sect. 3.6.",
	"Skewness: Joanes & Gill (1998), The Statistician 47:183. Floor and ceiling from 15 % at an end: McHorney & Tarlov (1995), Qual. Life Res. 4:293.",
}
