package analysis

import (
	"cmp"
	"slices"

	"cloche/internal/study"
)

// Reasons for which an assessor is left out of a comparison.
const (
	ReasonWithdrawn = "withdrawn" // took the answers out
	ReasonOneOnly   = "rated only one of the two samples compared"
	ReasonNeither   = "rated neither of the two samples compared"
	ReasonNotAsked  = "was not to be asked what they expect: the plan asks half of the panel, drawn at random"
	ReasonByDesign  = "was not to rate both samples compared: the plan serves each assessor some of them"
)

func reasonFor(design study.Design, one bool) string {
	switch {
	case design == study.Some || design == study.One:
		return ReasonByDesign
	case one:
		return ReasonOneOnly
	}
	return ReasonNeither
}

// ReasonIn is a reason of the study's in a language.
func ReasonIn(s *study.Study, reason string, say Say) string {
	for _, q := range s.Panel.Screening {
		if reasonScreened(q) == reason {
			return screenedIn(q, say)
		}
	}
	return say(reason)
}

// FromComparisons reports whether a reason leaves an assessor out of comparisons only,
// not of the study.
func FromComparisons(reason string) bool {
	return reason == ReasonOneOnly || reason == ReasonNeither || reason == ReasonByDesign ||
		reason == ReasonPartOfTable || reason == ReasonUnfinished
}

// leftOut counts, by reason, the assessors left out: each once.
type leftOut struct {
	given []Exclusion
	who   map[string]map[string]bool
}

func newLeftOut(given []Exclusion) *leftOut {
	return &leftOut{given: slices.Clone(given), who: map[string]map[string]bool{}}
}

func (l *leftOut) add(reason, assessor string) {
	if l.who[reason] == nil {
		l.who[reason] = map[string]bool{}
	}
	l.who[reason][assessor] = true
}

// addAll adds whom another count left out.
func (l *leftOut) addAll(other *leftOut) {
	for reason, who := range other.who {
		for assessor := range who {
			l.add(reason, assessor)
		}
	}
}

// exclusions lists what was given first, then the reasons found, by their words.
func (l *leftOut) exclusions() []Exclusion {
	out := slices.Clone(l.given)
	var found []Exclusion
	for reason, who := range l.who {
		found = append(found, Exclusion{reason, len(who)})
	}
	slices.SortFunc(found, func(a, b Exclusion) int { return cmp.Compare(a.Reason, b.Reason) })
	return append(out, found...)
}
