package analysis_test

import (
	"fmt"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// BenchmarkProfile describes four samples by ten assessors, twice each, on 13 attributes: 1,040
// answers.
func BenchmarkProfile(b *testing.B) {
	s, plan := profileStudy(b)
	truth := profileTruth()
	first := s.Attributes[0]
	for i := range 9 {
		a := first
		a.ID = study.AttributeID(fmt.Sprintf("more%d", i))
		s.Attributes = append(s.Attributes, a)
		truth[a.ID] = truth[first.ID]
	}
	if len(plan.Servings) == 0 || s.Serving.Replicates != 2 {
		b.Fatal("no servings, or not twice each")
	}
	ratings := analysis.Simulate(s, plan, truth, 1)
	b.Run(fmt.Sprintf("answers=%d", len(ratings)), func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			r, err := analysis.Analyse(s, ratings, analysis.Options{})
			if err != nil {
				b.Fatal(err)
			}
			if _, err := analysis.CheckPanel(s, ratings, analysis.Options{}, r); err != nil {
				b.Fatal(err)
			}
		}
	})
}
