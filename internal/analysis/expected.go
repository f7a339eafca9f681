package analysis

import (
	"fmt"
	"slices"

	"cloche/internal/study"
)

// Expectation is what an assessor expected of a name on one attribute, said before
// any tasting.
type Expectation struct {
	Assessor  string
	Name      study.NameID
	Attribute study.AttributeID
	Value     float64 // on the attribute's scale
}

// Reasons for which an assessor is left out of what was expected.
const (
	ReasonNotRead = "did not say what they expect of both names"
	ReasonNotMet  = "did not both say what they expect and taste"
)

// expectationKey is who expected something of what.
type expectationKey struct {
	assessor  string
	name      study.NameID
	attribute study.AttributeID
}

// expected is what was expected, beside the ratings.
type expected struct {
	*panel
	values map[expectationKey]float64
	people []string // who rated, or said what they expect, in natural order
	index  map[string]int
	asked  map[study.AttributeID]bool
	half   map[string]bool // who was to be asked; nil where everybody was
}

// toSay reports whether an assessor was to say what they expect.
func (e *expected) toSay(who string) bool { return e.half == nil || e.half[who] }

// findExpected compares, within assessors, what was expected of the names of each
// pair of samples, and what was expected of the name of each sample with how it was
// rated under it and with how the same dish was rated blind, where it was served so.
// What was expected above what was rated, or below, is disconfirmation. Whether a name
// drew the rating to what was expected (assimilation) or away from it (contrast) shows
// beside the blind rating alone (Cardello & Sawyer 1992, J. Sens. Stud. 7:253; Deliza
// & MacFie 1996, J. Sens. Stud. 11:103; both from memory).
//
// All of it is exploratory: two-sided, and not adjusted. Nothing is found of an
// attribute of which nobody said what they expect.
func (p *panel) findExpected(s *study.Study, list []Expectation, r *Result) error {
	if len(list) == 0 {
		return nil
	}
	e, err := p.withExpected(s, list)
	if err != nil {
		return err
	}
	if r.Expected, err = e.findings(s); err != nil {
		return err
	}
	if r.Ways, err = e.ways(s); err != nil {
		return err
	}
	r.Asking, err = e.asking(s)
	return err
}

func (e *expected) findings(s *study.Study) (all []Finding, err error) {
	for _, c := range expectedPairs(s) {
		if !e.asked[c.attribute.ID] {
			continue
		}
		f, err := e.compare(s, c, KindExpected, func(who string) (Pair, string) { return e.ofNames(s, c, who) })
		if err != nil {
			return nil, err
		}
		all = append(all, f)
	}
	for _, x := range s.Samples {
		found, err := e.ofSample(s, x)
		if err != nil {
			return nil, err
		}
		all = append(all, found...)
	}
	return all, nil
}

// ofSample compares what was expected of the name of a sample with its ratings, and
// with those of the same dish served blind.
func (e *expected) ofSample(s *study.Study, x study.Sample) ([]Finding, error) {
	if x.Name == "" {
		return nil, nil
	}
	kinds := []struct {
		kind  Kind
		rated study.Sample
	}{{KindExpectedMinusRated, x}}
	if blind, ok := BlindTwin(s, x); ok {
		kinds = append(kinds, struct {
			kind  Kind
			rated study.Sample
		}{KindExpectedMinusBlind, blind})
	}
	var all []Finding
	for _, k := range kinds {
		for _, a := range s.Attributes {
			if !e.asked[a.ID] {
				continue
			}
			c := comparison{a, [2]study.SampleID{x.ID, x.ID}, Exploratory}
			f, err := e.compare(s, c, k.kind, func(who string) (Pair, string) {
				return e.ofTaste(x.Name, k.rated, a, who)
			})
			if err != nil {
				return nil, err
			}
			all = append(all, f)
		}
	}
	return all, nil
}

// BlindTwin is the sample of the same dish that is served without a name.
func BlindTwin(s *study.Study, x study.Sample) (study.Sample, bool) {
	for _, other := range s.Samples {
		if x.Name != "" && other.Name == "" && other.Dish == x.Dish {
			return other, true
		}
	}
	return study.Sample{}, false
}

func (p *panel) withExpected(s *study.Study, list []Expectation) (*expected, error) {
	e := &expected{panel: p, values: map[expectationKey]float64{}, people: slices.Clone(p.assessors),
		index: map[string]int{}, asked: map[study.AttributeID]bool{}}
	for _, x := range list {
		a, known := s.Attribute(x.Attribute)
		if _, ok := s.Name(x.Name); !ok || !known {
			return nil, fmt.Errorf("%w: no name %q or no attribute %q", ErrRating, x.Name, x.Attribute)
		}
		if !a.Scale.Holds(x.Value) {
			return nil, fmt.Errorf("%w: %g is off the scale of %q", ErrRating, x.Value, x.Attribute)
		}
		at := expectationKey{x.Assessor, x.Name, x.Attribute}
		if _, twice := e.values[at]; twice {
			return nil, fmt.Errorf("%w: assessor %s said twice what they expect of name %q on %q", ErrRating,
				x.Assessor, x.Name, x.Attribute)
		}
		e.values[at], e.asked[x.Attribute] = x.Value, true
		e.people = append(e.people, x.Assessor)
	}
	slices.SortFunc(e.people, natural)
	e.people = slices.Compact(e.people)
	for i, who := range p.assessors {
		e.index[who] = i
	}
	e.half = p.toBeAsked(s, list)
	return e, nil
}

// expectedPairs lists the comparisons whose samples have two names, each pair of
// names once, in the order of the planned comparisons.
func expectedPairs(s *study.Study) []comparison {
	type names struct {
		a, b      study.NameID
		attribute study.AttributeID
	}
	seen := map[names]bool{}
	var all []comparison
	for _, c := range everyPair(s) {
		x, _ := s.Sample(c.pair[0])
		y, _ := s.Sample(c.pair[1])
		at := names{x.Name, y.Name, c.attribute.ID}
		if x.Name == "" || y.Name == "" || x.Name == y.Name || seen[at] || seen[names{at.b, at.a, at.attribute}] {
			continue
		}
		seen[at] = true
		c.role = Exploratory
		all = append(all, c)
	}
	return all
}

// everyPair are the planned comparisons, or every pair on every attribute where all
// samples are compared together.
func everyPair(s *study.Study) []comparison {
	if s.Plan.ComparesTwo() {
		return comparisons(s)
	}
	var all []comparison
	for _, pair := range otherPairs(s) {
		for _, a := range s.Attributes {
			all = append(all, comparison{a, pair, Exploratory})
		}
	}
	return all
}

// ofNames is what an assessor expected of the names of two samples, or why they are
// left out.
func (e *expected) ofNames(s *study.Study, c comparison, who string) (Pair, string) {
	x, _ := s.Sample(c.pair[0])
	y, _ := s.Sample(c.pair[1])
	a, okA := e.values[expectationKey{who, x.Name, c.attribute.ID}]
	b, okB := e.values[expectationKey{who, y.Name, c.attribute.ID}]
	switch {
	case okA && okB:
		return Pair{Assessor: who, First: a, Second: b}, ""
	case !e.toSay(who):
		return Pair{}, ReasonNotAsked
	case s.Serving.Design == study.Some || s.Serving.Design == study.One:
		return Pair{}, ReasonByDesign
	}
	return Pair{}, ReasonNotRead
}

// ofTaste is what an assessor expected of a name and how they rated a sample, or why
// they are left out. Whoever did neither was not to taste it.
func (e *expected) ofTaste(name study.NameID, x study.Sample, a study.Attribute, who string) (Pair, string) {
	before, okBefore := e.values[expectationKey{who, name, a.ID}]
	i, tasted := e.index[who]
	after, okAfter := 0.0, false
	if tasted {
		after, _, okAfter = e.column(a.ID, x.ID).mean(i)
	}
	switch {
	case okBefore && okAfter:
		return Pair{Assessor: who, First: before, Second: after}, ""
	case okAfter && !e.toSay(who):
		return Pair{}, ReasonNotAsked
	case okBefore || okAfter:
		return Pair{}, ReasonNotMet
	}
	return Pair{}, ""
}

// compare answers one exploratory comparison of pairs.
func (e *expected) compare(s *study.Study, c comparison, kind Kind, of func(who string) (Pair, string)) (Finding,
	error) {
	f := emptyFinding(c, s.Plan.Level())
	f.Kind = kind
	left := newLeftOut(nil)
	for _, who := range e.people {
		pair, why := of(who)
		switch {
		case pair.Assessor != "":
			f.Pair.Each = append(f.Pair.Each, pair)
		case why != "":
			left.add(why, who)
		}
	}
	f.Excluded, f.N = left.exclusions(), len(f.Pair.Each)
	if f.N == 0 {
		f.warn(Warning{WarnNoPairs, "nobody both said what they expect and can be compared"})
		f.Judge(s.Plan)
		return f, nil
	}
	if err := f.measure(s.Plan); err != nil {
		return f, err
	}
	if need := Fewest(s.Plan.Alpha); f.N < need {
		f.warn(warnFewPairs(f.N, need, "can be compared"))
	}
	if len(f.Excluded) > 0 {
		f.warn(warnIncomplete(f.Excluded))
	}
	f.remarkSkew()
	f.conclude(s.Plan)
	return f, nil
}
