package analysis

import (
	"fmt"

	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/ttest"
	"cloche/internal/study"
)

// AskingEffect compares those of the panel who were asked what they expect with those who were not,
// where a random half was asked: whether asking changed the tasting. By Welch's t test, as the
// halves were drawn at random; exploratory, two-sided and not adjusted.
type AskingEffect struct {
	Attribute study.AttributeID
	Sample    study.SampleID
	// The sample is compared with this one within people, and the halves by how far apart
	// they put the two; "" where they are compared by the rating of the sample itself.
	Minus    study.SampleID
	Ns       [2]int // asked, and not asked
	Means    [2]float64
	Value    float64        // asked minus not asked, scale points
	CI       stats.Interval // of it
	Test     Test
	TooFew   bool
	Warnings []Warning
}

// toBeAsked are those whom the plan asks what they expect: as the serving plan says where it is
// known, so that whoever skipped the names stays in their half, and else whoever said
// something. Nil where everybody is asked.
func (p *panel) toBeAsked(s *study.Study, list []Expectation) map[string]bool {
	if !s.Serving.AskHalf {
		return nil
	}
	asked := map[string]bool{}
	for _, x := range list {
		asked[x.Assessor] = true
	}
	if p.lottery == nil {
		return asked
	}
	for label, i := range p.lottery.assessor {
		for _, v := range p.lottery.plan.Assessor(i) {
			asked[label] = asked[label] || v.Role == design.Expected
		}
	}
	return asked
}

// asking compares the halves: first by the planned comparison on its attribute, where it is of
// two samples within people, then by the ratings of each sample on each attribute.
func (e *expected) asking(s *study.Study) (all []AskingEffect, err error) {
	if e.half == nil {
		return nil, nil
	}
	add := func(a study.AttributeID, x, minus study.SampleID) {
		if err != nil || !e.asked[a] {
			return
		}
		var one AskingEffect
		if one, err = e.halves(s, a, x, minus); err != nil {
			err = fmt.Errorf("whether asking changed the tasting of %s: %w", x, err)
			return
		}
		all = append(all, one)
	}
	if s.Plan.ComparesTwo() && s.Serving.Design != study.One {
		add(s.Plan.Attribute, s.Plan.Compare[0], s.Plan.Compare[1])
	}
	for _, a := range s.Attributes {
		for _, x := range s.Samples {
			add(a.ID, x.ID, "")
		}
	}
	return all, err
}

func (e *expected) halves(s *study.Study, a study.AttributeID, x, minus study.SampleID) (AskingEffect, error) {
	h := AskingEffect{Attribute: a, Sample: x, Minus: minus, CI: stats.NoInterval(s.Plan.Level()),
		Test: noTest(method.WelchT)}
	var said [2][]float64
	for i, who := range e.assessors {
		v, _, ok := e.column(a, x).mean(i)
		if minus != "" && ok {
			var less float64
			less, _, ok = e.column(a, minus).mean(i)
			v -= less
		}
		switch {
		case !ok:
		case e.half[who]:
			said[0] = append(said[0], v)
		default:
			said[1] = append(said[1], v)
		}
	}
	h.Ns = [2]int{len(said[0]), len(said[1])}
	h.Means = [2]float64{stats.Mean(said[0]), stats.Mean(said[1])}
	h.Value = h.Means[0] - h.Means[1]
	need := FewestInGroup(s.Plan.Alpha)
	if h.TooFew = min(h.Ns[0], h.Ns[1]) < need; h.TooFew {
		h.Warnings = append(h.Warnings, warnFewInGroup(h.Ns, need))
	}
	if min(h.Ns[0], h.Ns[1]) < 2 {
		return h, nil
	}
	t, err := ttest.Welch(said[0], said[1], ttest.TwoSampleOptions{Level: s.Plan.Level()})
	if err != nil {
		return h, err
	}
	h.CI, h.Test.Statistic, h.Test.DF, h.Test.P = t.CI, t.T, t.DF, t.P
	return h, nil
}
