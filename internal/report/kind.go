package report

import (
	"cloche/internal/analysis"
	"cloche/internal/study"
)

// kind is how findings of a kind are told: each has a file of its own.
type kind struct {
	verdict func(*study.Study, analysis.Finding) []study.Said // sentences; empty ones are left out
	// what the plan asked, of whom, when such a finding is primary
	asked   func(*study.Study, analysis.Finding) string
	row     func(*study.Study, analysis.Finding, Verdict, *footnotes) Row
	figures func(voice, *study.Study, *analysis.Result, analysis.Finding) []Figure // of the primary finding
}

// kindOf is how a finding is told. What was expected of names has a part of its own,
// see expected.go.
func kindOf(f analysis.Finding) kind {
	switch f.Kind {
	case analysis.KindChoice:
		return choiceKind
	case analysis.KindGroups:
		return groupsKind
	case analysis.KindPanel:
		return panelKind
	case analysis.KindRanking:
		return rankingKind
	case analysis.KindAboutRight:
		return aboutRightKind
	case analysis.KindDose:
		return doseKind
	case analysis.KindNamedDose:
		return namedDoseKind
	case analysis.KindWords:
		return wordsKind
	case analysis.KindThreshold:
		return thresholdKind
	case analysis.KindFactor:
		return factorKind
	}
	return pairKind
}

// verdictOf says a finding in plain words, after the verdict that the analysis gave.
func verdictOf(s *study.Study, f analysis.Finding) Verdict {
	return Verdict{outcomeOf(f.Verdict), sentences(kindOf(f).verdict(s, f)...)}
}

// plainLines is how many sentences come before the numbers, at most three.
func plainLines(sentences []study.Said) int {
	for i, x := range sentences[:min(3, len(sentences))] {
		if x.Text == partnersText {
			return i
		}
	}
	return min(3, len(sentences))
}

// inNumbers begins the sentence that is for statisticians.
const inNumbers = "In numbers: "

// twoSamples are the findings that compare two samples, or two levels of crossed samples,
// within people or between them.
func twoSamples(all []analysis.Finding) (some []analysis.Finding) {
	for _, f := range all {
		if f.Kind == analysis.KindPair || f.Kind == analysis.KindGroups ||
			f.Kind == analysis.KindFactor && f.Factor.Contrast {
			some = append(some, f)
		}
	}
	return some
}

// ofKind are the findings of a kind, in their order.
func ofKind(all []analysis.Finding, k analysis.Kind) (some []analysis.Finding) {
	for _, f := range all {
		if f.Kind == k {
			some = append(some, f)
		}
	}
	return some
}
