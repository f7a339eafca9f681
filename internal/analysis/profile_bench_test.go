package analysis_test

import (
	"fmt"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// BenchmarkProfile describes four samples by ten assessors, twice each, on a few, on a dozen
// and on many attributes, and says what that takes of the processor beside the time that goes
// by: on a machine that does other work this is what can be compared.
func BenchmarkProfile(b *testing.B) {
	for _, attributes := range []int{4, 13, 39} {
		s, ratings := wideProfile(b, attributes)
		b.Run(fmt.Sprintf("answers=%d", len(ratings)), func(b *testing.B) {
			b.ReportAllocs()
			began := processorTime(b)
			for b.Loop() {
				r, err := analysis.Analyse(s, ratings, analysis.Options{})
				if err != nil {
					b.Fatal(err)
				}
				if _, err := analysis.CheckPanel(s, ratings, analysis.Options{}, r); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(1000*(processorTime(b)-began).Seconds()/float64(b.N), "cpu-ms/op")
		})
	}
}

// wideProfile is the example of a profile on so many attributes, and invented ratings.
func wideProfile(b *testing.B, attributes int) (*study.Study, []analysis.Rating) {
	s, plan := profileStudy(b)
	truth := profileTruth()
	first := s.Attributes[0]
	for len(s.Attributes) < attributes {
		a := first
		a.ID = study.AttributeID(fmt.Sprintf("more%d", len(s.Attributes)))
		s.Attributes = append(s.Attributes, a)
		truth[a.ID] = truth[first.ID]
	}
	if len(plan.Servings) == 0 || s.Serving.Replicates != 2 {
		b.Fatal("no servings, or not twice each")
	}
	return s, analysis.Simulate(s, plan, truth, 1)
}
