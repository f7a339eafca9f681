package report

import (
	"fmt"
	"math"

	"cloche/internal/analysis"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// peopleTable tells how much of each guest's answer is noise, where everybody tasted both
// samples more than once.
func peopleTable(s *study.Study, f analysis.Finding) NumberTable {
	p := f.People
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale)
	share := p.ICCCI
	share.Lo, share.Hi = max(0, share.Lo), max(0, share.Hi)
	t := NumberTable{Title: "How much of each guest’s answer is noise", Said: spoken(English, peopleSaid(s, f)),
		Headings: []string{"What", "Found", percent(s.Plan.Level()) + " interval"},
		Rows: [][]string{
			{"Mean difference", signed(p.Mean, n), interval(p.CI, n)},
			{"Spread between guests, what is their own", number(p.SDPeople, n), interval(p.SDPeopleCI, n)},
			{"Spread within a guest, the noise of one difference", number(p.SDReplicate, n), none},
			{"Share of the variance that lies between guests", shareFound(p), sharesOf(share)},
			{"Guests whose differences all go one way", fmt.Sprintf("%d of %d", p.AgreeInSign, p.N), none},
		}}
	t.Below = []string{fmt.Sprintf("In %s: %s minus %s, %d differences of each guest, the first rating of one "+
		"sample "+
		"with the first of the other, and so on. Spreads are standard deviations; the interval of that between "+
		"guests takes the noise as found.", points(a.Scale), analysis.Label(s, f.Comparison[0]),
		analysis.Label(s, f.Comparison[1]), p.Replicates)}
	if !math.IsNaN(p.Test.P) {
		t.Below = append(t.Below, fmt.Sprintf("In numbers: %s; %s.", testInWords(p.Test), pPhrase(p.Test.P)))
	}
	if p.Short > 0 {
		t.Below = append(t.Below, fmt.Sprintf("%s who rated one of the samples fewer times than planned are not in "+
			"this table.", people(p.Short)))
	}
	return t
}

// shareFound is the share of the variance between guests; less than none is none.
func shareFound(p *analysis.PeoplePart) string {
	if math.IsNaN(p.ICC) {
		return none
	}
	return shareWords(max(0, p.ICC))
}

func sharesOf(ci stats.Interval) string {
	if ci.Absent() || math.IsNaN(ci.Lo) {
		return absent
	}
	return number(100*ci.Lo, 0) + " to " + number(100*ci.Hi, 0) + " %"
}

// peopleSaid says whether all guests shift or only some of them.
func peopleSaid(s *study.Study, f analysis.Finding) []study.Said {
	p := f.People
	switch {
	case math.IsNaN(p.Test.P):
		return []study.Said{study.Say("All differences are the same: there is no noise, and no guest differs " +
			"from another.")}
	case p.Differ(s.Plan.Alpha):
		return []study.Said{study.Say("Guests truly differ: some are moved more than others, by more than the " +
			"noise of their " +
			"answers."), movedSaid(s, f)}
	}
	return notShown(s, f)
}

// nearlyAll is the share of the guests from which on "of ten" would say that it is all.
const nearlyAll = 0.95

// movedSaid says which share of the guests moves which way; which of them no study of this
// size can say.
func movedSaid(s *study.Study, f analysis.Finding) study.Said {
	p := f.People
	share, higher, lower := p.SharePositive, f.Comparison[0], f.Comparison[1]
	if share < 0.5 {
		share, higher, lower = 1-share, lower, higher
	}
	moved := study.Say("%s of ten guests truly rate %s higher than %s, and the others lower", aboutOfTen(share),
		analysis.LabelSaid(s, higher), analysis.LabelSaid(s, lower))
	if share >= nearlyAll {
		moved = study.Say("nearly all guests truly rate %s higher than %s, by more or by less",
			analysis.LabelSaid(s, higher), analysis.LabelSaid(s, lower))
	}
	return study.Say("If what is their own spreads like a bell curve, %s; so few tastings cannot say who.", moved)
}

// notShown says what it means that no difference between guests was found.
func notShown(s *study.Study, f analysis.Finding) []study.Said {
	p := f.People
	a, _ := s.Attribute(f.Attribute)
	said := []study.Said{study.Say("It was not shown that guests differ: all may shift alike, and what sets " +
		"their answers apart " +
		"may be noise alone.")}
	if hi := p.SDPeopleCI.Hi; !p.SDPeopleCI.Absent() && hi > 0 {
		said = append(said, study.Say("They may still differ, with a spread of up to %s %s.",
			figure(hi, decimalsFor(a.Scale)), pointsOf(a.Scale)))
	}
	chance := analysis.ChanceToSeePeople(p.N, p.Replicates, s.Plan.Alpha)
	return append(said, study.Say("%s, %d pairs each, show it in %s of all studies when a fifth of the variance of "+
		"one difference is the guests’ own.", people(p.N), p.Replicates, study.Figure(shareWords(chance))))
}

// peopleWire is what a finding says of how people differ, in the findings as JSON.
type peopleWire struct {
	N           int      `json:"n"`
	Pairs       int      `json:"pairs"` // of each person
	Short       int      `json:"left_out"`
	SDPeople    value    `json:"sd_people"`
	SDPeopleCI  [2]value `json:"sd_people_ci"`
	SDNoise     value    `json:"sd_noise"`
	Share       value    `json:"share_of_variance"`
	ShareCI     [2]value `json:"share_of_variance_ci"`
	Positive    value    `json:"share_positive"` // of people, if they are normal
	AgreeInSign int      `json:"agree_in_sign"`
	Test        testWire `json:"test"`
}

func peopleToWire(f analysis.Finding) *peopleWire {
	p := f.People
	if p == nil {
		return nil
	}
	return &peopleWire{N: p.N, Pairs: p.Replicates, Short: p.Short, SDPeople: value(p.SDPeople),
		SDPeopleCI: ends(p.SDPeopleCI), SDNoise: value(p.SDReplicate), Share: value(p.ICC), ShareCI: ends(p.ICCCI),
		Positive: value(p.SharePositive), AgreeInSign: p.AgreeInSign, Test: testToWire(p.Test)}
}
