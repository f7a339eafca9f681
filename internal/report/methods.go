package report

import (
	"slices"

	"cloche/internal/analysis"
)

// method is where a method used in a report comes from.
type method struct {
	source string
	used   func(seen) bool
}

// seen is the stable words of what a result holds: methods of tests and checks,
// measures of effects, codes of warnings.
type seen map[string]bool

func (s seen) any(words ...string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return s[w] })
}

func usedWhen(words ...string) func(seen) bool {
	return func(s seen) bool { return s.any(words...) }
}

// Words of [seen] that no finding has as its own.
const (
	adjustedWord = "adjusted"
	expectedWord = "names read before tasting"
)

// methods name the source of each method.
var methods = []method{
	{"Paired t test and its interval: Student (1908), Biometrika 6:1.", usedWhen(analysis.MethodPairedT)},
	{"Signed-rank test, exact given ties, zeros ranked and left out: Wilcoxon (1945), Biom. Bull. 1:80; Pratt (1959), J. Am. Stat. Assoc. 54:655.",
		usedWhen(analysis.MethodSignedRank)},
	{"Median difference and its interval from the signed-rank test: Hodges & Lehmann (1963), Ann. Math. Stat. 34:598; Tukey (1949); " +
		"Hollander & Wolfe (1999), sect. 3.3.", usedWhen(analysis.MeasureHodgesLehmann)},
	{"Sign test: Dixon & Mood (1946), J. Am. Stat. Assoc. 41:557. Median difference with the interval of order statistics: Conover (1999), sect. 3.2.",
		usedWhen(analysis.MethodSign)},
	{"Cohen’s d_z: Cohen (1988), sect. 2.3.5; interval from the noncentral t distribution: Cumming & Finch (2001), Educ. Psychol. Meas. 61:532; " +
		"g_z: Hedges (1981), J. Educ. Stat. 6:107.", usedWhen(analysis.MeasureDz)},
	{"Adjustment of secondary findings: p by Holm (1979), Scand. J. Stat. 6:65; intervals at 1 − α/m after Bonferroni: Dunn (1961), J. Am. Stat. Assoc. 56:52.",
		usedWhen(adjustedWord)},
	{"First against second serving and carry-over: Hills & Armitage (1979), Br. J. Clin. Pharmacol. 8:7; carry-over is read at 10 % (Grizzle 1965) " +
		"and has little power (Freeman 1989).", usedWhen(analysis.CheckPeriod, analysis.CheckCarry)},
	{"Position: F test of its estimable part in the additive model, Searle (1971), Linear Models, sects. 3.6 and 5.4.", usedWhen(analysis.CheckPosition)},
	{"Skewness: Joanes & Gill (1998), The Statistician 47:183.", usedWhen(analysis.WarnSkewed)},
	{"Floor and ceiling from 15 % at an end: McHorney & Tarlov (1995), Qual. Life Res. 4:293.", usedWhen(analysis.WarnFloor, analysis.WarnCeiling)},
	{"Expected minus rated (disconfirmation), and ratings that follow what was expected (assimilation) or go against it (contrast), as against the same dish " +
		"served blind: Cardello & Sawyer (1992), J. Sens. Stud. 7:253; Deliza & MacFie (1996), J. Sens. Stud. 11:103; both cited from memory.", usedWhen(expectedWord)},
}

// methodsUsed lists the sources of what a result holds.
func methodsUsed(r *analysis.Result) []string {
	s := seen{expectedWord: len(r.Expected) > 0}
	for _, f := range slices.Concat(r.Findings, r.Expected) {
		s.note(f)
	}
	var out []string
	for _, m := range methods {
		if m.used(s) {
			out = append(out, m.source)
		}
	}
	return out
}

func (s seen) note(f analysis.Finding) {
	if f.N == 0 {
		return
	}
	s[adjustedWord] = s[adjustedWord] || f.Family > 0
	s[f.Measure] = true
	for _, t := range append([]analysis.Test{f.Test}, f.Also...) {
		s[t.Method] = true
	}
	for _, e := range f.Effects {
		s[e.Measure] = true
	}
	for _, c := range f.Checks {
		s[c.Method] = true
	}
	for _, w := range f.Warnings {
		s[w.Code] = true
	}
}
