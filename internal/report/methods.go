package report

import (
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/method"
)

// MethodsText says in a language what was done, as a paragraph for a paper.
type MethodsText struct{ Language, Name, Text string }

// MethodsFile is a file of the paragraphs; of several, each stands under its language.
func MethodsFile(all []MethodsText) string {
	var b strings.Builder
	for i, x := range all {
		if i > 0 {
			b.WriteString("\n")
		}
		if len(all) > 1 {
			b.WriteString(x.Name + "\n\n")
		}
		b.WriteString(x.Text + "\n")
	}
	return b.String()
}

// seen is what a result holds: methods of tests and checks, measures of effects,
// adjustments, codes of warnings.
type seen map[method.ID]bool

// expectedWord is of [seen] when names were read before tasting.
const expectedWord method.ID = "names read before tasting"

// hintWord is of [seen] when a finding is no more than a hint.
const hintWord method.ID = "a hint"

// remark is the word of a warning, whose code may be that of a method too.
func remark(code string) method.ID { return method.ID("remark " + code) }

// remarked name the source of what a remark rests on.
var remarked = []struct {
	source string
	by     []method.ID
}{
	{"Skewness: Joanes & Gill (1998), The Statistician 47:183.", []method.ID{remark(analysis.WarnSkewed)}},
	{"Floor and ceiling from 15 % at an end: McHorney & Tarlov (1995), Qual. Life Res. 4:293.",
		[]method.ID{remark(analysis.WarnFloor), remark(analysis.WarnCeiling)}},
	{"How often so few people find the smallest effect, and by how much they overstate it: Gelman & Carlin (2014), " +
		"Perspect. Psychol. Sci. 9:641.", []method.ID{hintWord}},
	{"Expected minus rated (disconfirmation), and ratings that follow what was expected (assimilation) or go " +
		"against it (contrast), as against the same dish " +
		"served blind: Cardello & Sawyer (1992), J. Sens. Stud. 7:253; Deliza & MacFie (1996), J. Sens. Stud. " +
		"11:103; both cited from memory.", []method.ID{expectedWord}},
}

// methodsUsed lists the sources of what a result holds.
func methodsUsed(r *analysis.Result) []string {
	s := seen{expectedWord: len(r.Expected) > 0}
	for _, f := range r.Findings {
		s.note(f)
	}
	for _, f := range r.Expected {
		s.note(f)
	}
	s[method.WelchT] = s[method.WelchT] || len(r.Asking) > 0
	s[method.ShareOfWay] = len(r.Ways) > 0
	if b := r.Blinding; b != nil {
		s[method.Bang], s[method.James] = len(b.Arms) > 0, len(b.Arms) > 0
	}
	for _, w := range r.Ways {
		for _, x := range w.Warnings {
			s[remark(x.Code)] = true
		}
	}
	if r.Profile != nil {
		s[method.SampleByAssessor], s[method.Consistency] = true, true
		s[method.ProductMap] = r.Profile.Map != nil
	}
	var out []string
	for _, m := range method.All() {
		if s[m.ID] {
			out = append(out, upperFirst(m.Title)+": "+m.Source+".")
		}
	}
	for _, m := range remarked {
		for _, by := range m.by {
			if s[by] {
				out = append(out, m.source)
				break
			}
		}
	}
	return out
}

// equivalenceOf is the test of equivalence that the interval of a finding belongs to.
func equivalenceOf(f analysis.Finding) method.ID {
	switch {
	case f.Kind != analysis.KindGroups:
		return method.Equivalence
	case f.Groups.Strata > 1:
		return method.EquivalenceWithin
	}
	return method.EquivalenceWelch
}

func (s seen) note(f analysis.Finding) {
	if !computed(f) {
		return
	}
	s[method.Holm] = s[method.Holm] || f.Family > 0
	s[method.Bonferroni] = s[method.Bonferroni] || f.Family > 0 && f.Kind != analysis.KindPanel
	s[f.Panel.Adjustment] = true
	s[hintWord] = s[hintWord] || f.Hint != nil
	if f.Measure == method.MeanDifference && f.EquivalenceCI.Level > 0 || f.Kind == analysis.KindPanel &&
		f.Verdict.Margin > 0 {
		s[equivalenceOf(f)] = true
	}
	if len(f.Panel.Pairs) > 0 {
		s[f.Panel.Pairs[0].Test.Method] = true
	}
	for _, p := range f.Ranking.Pairs {
		s[method.Holm], s[method.Bonferroni], s[p.Test.Method], s[p.Sums.Method] = true, true, true, true
	}
	for _, x := range f.AboutRight.Samples {
		s[x.Low.Drop.Measure], s[x.Low.Weighted.Measure], s[method.Holm] = true, true, true
	}
	for _, m := range f.AboutRight.Moves {
		s[m.Test.Method] = true
	}
	for _, w := range f.Words.Words {
		s[method.Holm], s[method.Bonferroni], s[w.Test.Method] = true, true, true
		s[method.McNemar], s[method.TickedMore] = true, true
		s[method.PairedT] = s[method.PairedT] || w.With != nil
	}
	s[method.PeopleDiffer] = s[method.PeopleDiffer] || f.People != nil
	s[method.Correspondence] = s[method.Correspondence] || f.Words.Map != nil
	s[f.Measure] = true
	for _, t := range append([]analysis.Test{f.Test}, f.Also...) {
		s[t.Method] = true
	}
	for _, e := range f.Effects {
		s[e.Measure] = true
	}
	if t := f.Choice.Told; t != nil {
		s[t.Tellers.Measure], s[t.DPrime.Measure] = true, true
	}
	for _, r := range f.Rechecks {
		s[r.Method] = true
	}
	for _, c := range f.Checks {
		s[c.Method] = true
	}
	for _, w := range f.Warnings {
		s[remark(w.Code)] = true
	}
}
