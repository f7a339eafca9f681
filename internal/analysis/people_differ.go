package analysis

import (
	"cmp"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats/anova"
	"cloche/internal/study"
)

// Codes of warnings of how people differ.
const (
	WarnShareByModel = "share-is-model-based"
	WarnPeopleFloor  = "floor-at-zero"
)

// PeoplePart says how much of each person's answer is noise, where everybody tasted both
// samples more than once: whether people truly differ in what the samples do to them.
type PeoplePart struct {
	anova.PeopleDifferResult
	Test   Test // that people do not differ
	People []string
	Each   [][]float64 // by person: the first sample minus the second, pair by pair in the order tasted
	Short  int         // who rated both, and one of them fewer times than planned
}

// Differ reports whether it was found that people differ.
func (p *PeoplePart) Differ(alpha float64) bool { return p.Test.P < alpha }

// findPeople asks of a primary comparison within people whether they differ, where the plan
// serves each sample more than once. The first rating of one sample goes with the first of
// the other, the second with the second: what two pairs of one person have in common is the
// person, and what sets them apart is noise.
func (p *panel) findPeople(s *study.Study, c comparison, f *Finding) error {
	times := s.Serving.Replicates
	if times < 2 || c.role != Primary {
		return nil
	}
	first, second := p.column(c.attribute.ID, c.pair[0]), p.column(c.attribute.ID, c.pair[1])
	part := &PeoplePart{}
	for i, who := range p.assessors {
		a, b := first.asTasted(i), second.asTasted(i)
		switch {
		case len(a) == 0 || len(b) == 0:
			continue
		case len(a) < times || len(b) < times:
			part.Short++
			continue
		}
		each := make([]float64, times)
		for k := range each {
			each[k] = a[k].value - b[k].value
		}
		part.People, part.Each = append(part.People, who), append(part.Each, each)
	}
	if len(part.Each) < 2 {
		return nil
	}
	r, err := anova.PeopleDiffer(part.Each, s.Plan.Level())
	if err != nil {
		return err
	}
	part.PeopleDifferResult = r
	part.Test = Test{Method: method.PeopleDiffer, Title: method.PeopleDiffer.Title(), Statistic: r.F, DF: r.DF1,
		DF2: r.DF2, P: r.P, PAdjusted: math.NaN()}
	f.People = part
	switch {
	case part.Differ(s.Plan.Alpha):
		f.warn(Warning{WarnShareByModel, "which share of the guests moves which way is reckoned as if what is " +
			"their own spread like a bell curve; the ratings do not show that it does"})
	case r.F < 1:
		f.warn(Warning{WarnPeopleFloor, "guests differed less from one another than each did from themselves: the " +
			"spread between them is put at 0, which is no proof that they do not differ"})
	}
	return nil
}

// asTasted are the ratings of an assessor in the order in which they were tasted.
func (c column) asTasted(assessor int) []scored {
	in := slices.Clone(c[assessor])
	slices.SortFunc(in, func(a, b scored) int {
		return cmp.Or(cmp.Compare(a.sitting, b.sitting), cmp.Compare(a.position, b.position),
			cmp.Compare(a.value, b.value))
	})
	return in
}

// peopleShare is how much of the variance of one difference lies between people in the power
// that is told beforehand (our choice, no source): with less, most of what sets two people
// apart in one tasting is noise.
const peopleShare = 0.2

// ChanceToSeePeople is the chance that so many people, so many times each, show at alpha that
// they differ, when a fifth of the variance of one difference lies between them.
func ChanceToSeePeople(people, times int, alpha float64) float64 {
	return anova.PeopleDifferPower(people, times, peopleShare, alpha)
}
