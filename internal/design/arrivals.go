package design

import (
	"errors"
	"fmt"
	"slices"

	"cloche/internal/study"
)

// Undealt stands for the sample of a serving whose assessor has not arrived yet.
const Undealt int32 = none

// ordersStream names the sub-stream that orders are drawn from, of a plan and of
// what is dealt on arrival alike.
const ordersStream = "orders"

// Arrivals deals one sample to each assessor of a study with strata as they arrive:
// the lottery of [Draw], one assessor at a time. The same study, seed and strata in
// the order of arrival give the same samples, those of a plan that is drawn with
// the same [Options.Levels].
type Arrivals struct {
	samples []study.SampleID
	strata  strata
	lottery interface {
		next(r *stream, cell int32) int32
	}
	r *stream
}

// NewArrivals begins before the first assessor. engine is the version that the plan
// was drawn with. Errors are those of [Draw], and [ErrConflict] when the study deals
// nothing on arrival.
func NewArrivals(s *study.Study, seed uint64, engine int) (*Arrivals, error) {
	if _, ok := engines[engine]; !ok {
		return nil, unknownEngine(engine)
	}
	if err := canDealOnArrival(s); err != nil {
		return nil, err
	}
	c, err := newScheme(s, Options{})
	if err != nil {
		return nil, err
	}
	a := &Arrivals{samples: c.samples, strata: c.strata, r: newStream(seed, ordersStream)}
	switch l := c.orders.(type) {
	case *permutedBlocks:
		a.lottery = l
	case *minimised:
		a.lottery = l
	}
	return a, nil
}

// Stratum numbers a combination of levels, from 0, one of each stratum of the study:
// see [StratumLevels].
func (a *Arrivals) Stratum(levels []int) (int32, error) { return a.strata.cell(levels) }

// Next deals the sample of the next assessor, who belongs to a stratum.
func (a *Arrivals) Next(stratum int32) (study.SampleID, error) {
	if stratum < 0 || int(stratum) >= a.strata.cells {
		return "", conflict(study.Say("there is no stratum %d", stratum+1),
			study.Say("give one from 1 to %d", a.strata.cells))
	}
	return a.samples[a.lottery.next(a.r, stratum)], nil
}

// Arrival is an assessor who was dealt a sample, at a place of the plan from 0.
type Arrival struct {
	Place   int
	Stratum int32
	Sample  study.SampleID // that they were dealt
}

// ErrDealtOtherwise says that what was dealt is not what the seed deals.
var ErrDealtOtherwise = errors.New("what was dealt is not what the seed deals")

// Deal fills a plan that was drawn with [Options.OnArrival] with what was dealt, in the
// order of arrival, and checks each by dealing again. Places where nobody arrived stay
// [Undealt], with that for their stratum. Errors are those of [NewArrivals], and
// [ErrDealtOtherwise].
func (p *Plan) Deal(s *study.Study, all []Arrival) (*Plan, error) {
	arrivals, err := NewArrivals(s, p.Seed, p.Engine)
	if err != nil {
		return nil, err
	}
	dealt := *p
	dealt.Stratum = make([]int32, p.Assessors)
	at := make([]int32, p.Assessors)
	for i := range at {
		at[i], dealt.Stratum[i] = Undealt, Undealt
	}
	for i, x := range all {
		sample, err := arrivals.Next(x.Stratum)
		if err != nil {
			return nil, err
		}
		if sample != x.Sample || x.Place < 0 || x.Place >= p.Assessors || at[x.Place] != Undealt {
			return nil, fmt.Errorf("%w: arrival %d, at place %d, in stratum %d, got sample %s, and the seed deals %s",
				ErrDealtOtherwise, i+1, x.Place+1, x.Stratum+1, x.Sample, sample)
		}
		at[x.Place], dealt.Stratum[x.Place] = int32(slices.Index(p.Samples, sample)), x.Stratum
	}
	dealt.Servings = slices.Clone(p.Servings)
	for i, v := range dealt.Servings {
		if v.Sample == Undealt {
			dealt.Servings[i].Sample = at[v.Assessor]
		}
	}
	return &dealt, nil
}

// InOrderOfArrival is a plan filled by [Plan.Deal] as it came about: those who arrived, in
// that order, and nobody else. all are the arrivals that it was filled with, at least one.
func (p *Plan) InOrderOfArrival(all []Arrival) *Plan {
	came := *p
	came.Assessors, came.Stratum, came.Servings = len(all), nil, nil
	for i, x := range all {
		came.Stratum = append(came.Stratum, x.Stratum)
		for _, v := range p.Assessor(x.Place) {
			v.Assessor = int32(i)
			came.Servings = append(came.Servings, v)
		}
	}
	return &came
}

// canDealOnArrival says why a study cannot be dealt on arrival, or nil.
func canDealOnArrival(s *study.Study) error {
	v := s.Serving
	switch {
	case !v.DealtOnArrival():
		return conflict(study.Say("nothing is dealt on arrival without strata"),
			study.Say("write serving.strata, with design: one"))
	case v.Codes == study.CodePerSample:
		return conflict(study.Say("a code that stands for a sample is drawn before anybody knows who gets which"),
			study.Say("write serving.codes: serving"))
	case v.Expectation && hasBlind(s):
		return conflict(study.Say("who gets a blind sample has no name to read, and who gets it is dealt on arrival"),
			study.Say("leave serving.expectation out, or give every sample a name"))
	}
	return nil
}

func hasBlind(s *study.Study) bool {
	for _, x := range s.Samples {
		if x.Name == "" {
			return true
		}
	}
	return false
}

// takeBackOrders leaves open which sample each assessor gets.
func (p *Plan) takeBackOrders() {
	p.OnArrival, p.Stratum = true, nil
	for i, v := range p.Servings {
		if v.Role == Rated || v.Role == Expected {
			p.Servings[i].Sample = Undealt
		}
	}
}
