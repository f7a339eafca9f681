package calibrate

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// What scatters in a simulated panel, as parts of the length of the scale: the levels of
// people, what a person finds of a sample beyond what all do, evenings, a person from one
// evening to another, and strata of people.
const (
	personPart  = 0.1
	ratingPart  = 0.1
	ownPart     = 0.1
	eveningPart = 0.05
	dayPart     = 0.05
	stratumPart = 0.15
)

// draw draws a plan. Of a study with strata everybody's are known beforehand, drawn at random.
func draw(s *study.Study, seed uint64) (*design.Plan, error) {
	o := design.Options{Seed: seed}
	if s.Serving.DealtOnArrival() {
		random := rand.New(rand.NewPCG(seed, 7))
		for range s.Panel.Assessors {
			var levels []int
			for _, x := range s.Serving.Strata {
				levels = append(levels, random.IntN(len(x.Levels)))
			}
			o.Levels = append(o.Levels, levels)
		}
	}
	return design.Draw(s, o)
}

// deal gives samples to those who get one as they arrive: every sample as often, give or
// take one, in an order drawn at random.
func deal(plan *design.Plan, random *rand.Rand) *design.Plan {
	if !plan.OnArrival {
		return plan
	}
	dealt := *plan
	dealt.Servings = slices.Clone(plan.Servings)
	order := random.Perm(plan.Assessors)
	for i, v := range dealt.Servings {
		if v.Sample == design.Undealt {
			dealt.Servings[i].Sample = int32(order[v.Assessor] % len(plan.Samples))
		}
	}
	return &dealt
}

// truth is what the analysis is to find nothing in, and by how much the samples differ all
// the same, as they do where the plan asks if they are alike.
func truth(s *study.Study) (analysis.Truth, float64) {
	if !s.Question.CollectsRatings() {
		return nil, 0
	}
	all := analysis.Truth{}
	for _, a := range s.Attributes {
		if !a.Scale.Averages() {
			continue
		}
		span := a.Scale.Max() - a.Scale.Min()
		x := analysis.TrueAttribute{Mean: a.Scale.Min() + span/2, AssessorSD: personPart * span,
			RatingSD: ratingPart * span}
		if s.Serving.Replicates > 1 && s.Plan.Test != study.PairedT { // there, that people differ is a false alarm
			x.SampleSD = ownPart * span
		}
		if s.Panel.Sittings > 1 {
			x.SittingSD, x.DaySD = eveningPart*span, dayPart*span
		}
		all[a.ID] = x
	}
	if s.Question.Kind().Amounts {
		riseWith(s, all, 0)
	}
	if s.Plan.Test != study.Equivalence {
		return all, 0
	}
	x := all[s.Plan.Attribute]
	x.Effects = map[study.SampleID]float64{s.Plan.Compare[0]: s.Plan.SmallestEffect}
	all[s.Plan.Attribute] = x
	return all, s.Plan.SmallestEffect
}

// onEvenings spreads the panel over the sittings that are planned: everybody comes to one,
// or to as many as it takes, one after another.
func onEvenings(s *study.Study, plan *design.Plan) *design.Plan {
	if s.Panel.Sittings < 2 || s.Plan.Test == study.Lottery { // which draws the plan again as it was
		return plan
	}
	spread := *plan
	spread.Servings = slices.Clone(plan.Servings)
	for i, v := range spread.Servings {
		if v.Sitting > 0 {
			spread.Servings[i].Sitting = int32(1 + (int(v.Assessor)+int(v.Sitting)-1)%s.Panel.Sittings)
		}
	}
	return &spread
}

// withStrata notes who belongs where, and has the people of one stratum rate higher than
// those of another.
func withStrata(s *study.Study, plan *design.Plan, ratings []analysis.Rating) {
	in := map[string]int32{}
	for i, stratum := range plan.Stratum {
		in[analysis.AssessorLabel(i)] = stratum
	}
	for i := range ratings {
		r := &ratings[i]
		stratum, known := in[r.Assessor]
		a, _ := s.Attribute(r.Attribute)
		if !known || !a.Scale.Averages() {
			continue
		}
		r.Stratum = strconv.Itoa(int(stratum) + 1)
		low, high := a.Scale.Min(), a.Scale.Max()
		steps := math.Round((r.Value + float64(stratum)*stratumPart*(high-low) - low) / a.Scale.Step())
		r.Value = min(high, low+steps*a.Scale.Step())
	}
}
