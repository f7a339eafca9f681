package calibrate

import (
	"fmt"
	"math/rand/v2"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// The evenings of a simulated record, in hundredths of the scale: by how much the first sample
// truly exceeds the second on average, and the standard deviation of that from evening to evening.
const (
	recordEvenings = 4
	recordMean     = 6
	recordApart    = 2
)

// keepsRecord reports whether a study is one that a house repeats: two samples, each rated once
// by everybody on a line, at one sitting, and nothing of it ended early.
func keepsRecord(s *study.Study) bool {
	a, _ := s.Attribute(s.Plan.Attribute)
	return s.Question.CollectsRatings() && len(s.Samples) == 2 && a.Scale.Kind == study.Line &&
		s.Plan.Test == study.PairedT && s.Plan.Sides == study.TwoSided && s.Serving.Design == study.All &&
		s.Serving.Replicates <= 1 && s.Panel.Sittings <= 1 && !s.Serving.Expectation && !s.Plan.StopEarly &&
		len(s.Plan.Looks) == 0 && s.Plan.Evidence == ""
}

// countRecord plays a study on four evenings that truly differ, each with other guests, and counts
// whether their record holds the mean of all evenings, and its prediction what is true of one more.
func (t tally) countRecord(s *study.Study, plan *design.Plan, seed uint64) error {
	if !keepsRecord(s) {
		return nil
	}
	a, _ := s.Attribute(s.Plan.Attribute)
	unit := (a.Scale.Max() - a.Scale.Min()) / 100
	random := rand.New(rand.NewPCG(seed, 15))
	evening := func() float64 { return unit * (recordMean + recordApart*random.NormFloat64()) }
	var found []analysis.FoundDifference
	for range recordEvenings {
		truth := analysis.Truth{}
		for _, x := range s.Attributes {
			length := x.Scale.Max() - x.Scale.Min()
			truth[x.ID] = analysis.TrueAttribute{Mean: x.Scale.Min() + length/2, AssessorSD: personPart * length,
				RatingSD: ratingPart * length}
		}
		of := truth[a.ID]
		of.Effects = map[study.SampleID]float64{s.Plan.Compare[0]: evening()}
		truth[a.ID] = of
		all, err := analysis.FoundDifferences(s, analysis.Simulate(s, plan, truth, random.Uint64()), nil)
		if err != nil {
			return err
		}
		for _, x := range all {
			if x.Attribute == a.ID { // others may be asked in the same words
				found = append(found, x)
			}
		}
	}
	for _, r := range analysis.Records(found) {
		if r.Together == nil {
			continue
		}
		mean, next := float64(recordMean)*unit, evening()
		t.count(OfRecord, r.Together.CI.Lo <= mean && mean <= r.Together.CI.Hi)
		t.count(OfNext, r.Together.Prediction.Lo <= next && next <= r.Together.Prediction.Hi)
		return nil
	}
	return fmt.Errorf("the record tells nothing of %s", a.ID)
}
