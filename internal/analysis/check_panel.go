package analysis

import (
	"fmt"
	"math"

	"cloche/internal/stats/dist"
	"cloche/internal/stats/profile"
	"cloche/internal/study"
)

// PanelCheck is what each assessor of a profile's panel does well and has to practise (ISO
// 8586 in outline). It names people: it is for the lead alone and no part of a [Result].
type PanelCheck struct {
	Attributes []PanelOn       // the panel as a whole
	Apart      []bool          // the panel tells the samples apart on the attribute; else nobody can agree on it
	Assessors  []AssessorCheck // in natural order
	Repeats    int             // how often it was checked whether somebody repeats as the others do
	Alpha      float64         // the share of those checks in which an assessor like all others fails by chance
}

// AssessorCheck is one assessor on every attribute.
type AssessorCheck struct {
	Assessor string
	On       []AssessorOn // in the order of the study's attributes
}

// AssessorOn is one assessor on one attribute. What cannot be said is NaN.
type AssessorOn struct {
	profile.AssessorQuality
	Wavers float64    // p of the F test of their own repeats against those of the others
	Needs  []Practice // empty where nothing has to be practised, or nothing can be said
}

// Practice says what an assessor should practise on an attribute: a stable short word.
type Practice string

// What there is to practise.
const (
	PracticeTelling   Practice = "tell-apart"  // the panel tells the samples apart, this assessor far less
	PracticeRepeating Practice = "repeat"      // own ratings of one sample lie further apart than others' do
	PracticeDirection Practice = "turn-around" // rates the samples the other way round than the others
)

// trainedAlpha is the level of each check, a choice of ours: a hint to practise costs little.
const trainedAlpha = 0.05

// halfAsFar is how far a person's means have to follow those of the others, in points for each
// of theirs (a choice of ours). Who uses the scale more narrowly still tells the samples apart.
const halfAsFar = 0.5

// CheckPanel judges each assessor of a study that describes its samples, on each attribute:
//
//   - whose means of the samples follow those of the others less than half as far, beyond
//     what their own scatter explains, and who does not tell the samples apart by their own
//     analysis of variance either, where the panel does;
//   - whose repeated ratings lie further apart than those of all others, by an F test of the
//     two error variances;
//   - whose means of the samples run against those of the others beyond their own scatter.
//
// Measures: [profile.PanelPerformance]. That these be held against 5 % each is a choice
// of ours. r is what [Analyse] found in the same ratings, with the same options. Errors:
// [ErrNoAnalysis] where the study describes nothing, and those of [Analyse].
func CheckPanel(s *study.Study, ratings []Rating, o Options, r *Result) (*PanelCheck, error) {
	if r.Profile == nil {
		return nil, fmt.Errorf("%w: assessors are judged in a study that describes its samples alone", ErrNoAnalysis)
	}
	ratings, _ = screen(ScreenedOut(s, o.Screened), ratings, nil)
	p, err := tabulate(s, ratings)
	if err != nil {
		return nil, err
	}
	c := &PanelCheck{Attributes: r.Profile.Panel, Alpha: trainedAlpha}
	index := map[string]int{}
	for i, who := range p.assessors {
		index[who] = i
		c.Assessors = append(c.Assessors, AssessorCheck{who, make([]AssessorOn, len(s.Attributes))})
	}
	for k, a := range s.Attributes {
		apart := r.tellsApart(a.ID, s.Plan.Alpha)
		c.Apart = append(c.Apart, apart)
		for i := range c.Assessors {
			c.Assessors[i].On[k] = AssessorOn{AssessorQuality: nothingKnown(), Wavers: math.NaN()}
		}
		if err := p.checkOn(s, a.ID, apart, func(who string, x AssessorOn) {
			c.Assessors[index[who]].On[k] = x
			c.Repeats += boolToInt(!math.IsNaN(x.Wavers))
		}); err != nil {
			return nil, err
		}
	}
	return c, nil
}

// nothingKnown is of an assessor who rated nothing.
func nothingKnown() profile.AssessorQuality {
	nan := math.NaN()
	return profile.AssessorQuality{F: nan, DF1: nan, DF2: nan, P: nan, Repeatability: nan, Agreement: nan, Level: nan,
		Spread: nan, SpreadSE: nan}
}

// checkOn judges everybody on one attribute.
func (p *panel) checkOn(s *study.Study, on study.AttributeID, apart bool, found func(string, AssessorOn)) error {
	ratings, people := p.panelRatings(s, on)
	if len(ratings) == 0 {
		return nil
	}
	q, err := profile.PanelPerformance(ratings)
	if err != nil {
		return fmt.Errorf("judge the assessors on %s: %w", on, err)
	}
	var within, df float64 // of all
	for _, a := range q.Assessors {
		if a.DF2 > 0 {
			within, df = within+a.Repeatability*a.Repeatability*a.DF2, df+a.DF2
		}
	}
	for i, a := range q.Assessors {
		x := AssessorOn{AssessorQuality: a, Wavers: math.NaN()}
		if own := a.Repeatability * a.Repeatability; a.DF2 > 0 && df > a.DF2 && within > own*a.DF2 {
			x.Wavers = dist.FSurvival(own/((within-own*a.DF2)/(df-a.DF2)), a.DF2, df-a.DF2)
		}
		x.judge(apart)
		found(people[i], x)
	}
	return nil
}

// judge says what has to be practised.
func (x *AssessorOn) judge(apart bool) {
	if x.Wavers < trainedAlpha {
		x.Needs = append(x.Needs, PracticeRepeating)
	}
	if !apart || math.IsNaN(x.SpreadSE) {
		return
	}
	most := x.Spread + dist.TQuantile(1-trainedAlpha, x.DF2)*x.SpreadSE
	switch {
	case most < 0:
		x.Needs = append(x.Needs, PracticeDirection)
	case most < halfAsFar && x.P >= trainedAlpha:
		x.Needs = append(x.Needs, PracticeTelling)
	}
}
