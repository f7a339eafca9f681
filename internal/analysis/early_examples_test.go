package analysis_test

import (
	"slices"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// What holds in the invented panels of the two studies that may stop early: the first sample is rated so many
// points higher, and differences scatter by about 14 points.
var early = []struct {
	name  string
	truth float64
}{{"roasted-first", 9}, {"darker-caramel", 7}}

// The ratings of these examples are those of the first seed from 1 with which tasting stops before its end at an
// interval that holds the truth; who sat at the table by then has rated too.
func TestRatingsOfTheStudiesThatStopEarly(t *testing.T) {
	for _, x := range early {
		t.Run(x.name, func(t *testing.T) {
			csv := "../../studies/" + x.name + "-ratings.csv"
			s := parseStudy(t, "../../studies/"+x.name+".yaml")
			plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
			if err != nil {
				t.Fatal(err)
			}
			truth := analysis.Truth{s.Plan.Attribute: {Mean: 42, AssessorSD: 12, RatingSD: 10,
				Effects: map[study.SampleID]float64{s.Plan.Compare[0]: x.truth}}}
			holds := func(f analysis.Finding) bool { return f.CI.Lo <= x.truth && f.CI.Hi >= x.truth }
			for seed := uint64(1); seed <= 20; seed++ {
				ratings := analysis.Simulate(s, plan, truth, seed)
				if f := analyse(t, s, ratings).Findings[0]; stopped(f) && holds(f) {
					keptAs(t, csv, s, untilStopped(s, ratings, f))
					break
				}
			}
			f := analyse(t, s, readRatings(t, csv, s)).Findings[0]
			if !stopped(f) || !holds(f) || f.Test.P >= s.Plan.Alpha {
				t.Errorf("%v in %v, p %g, %+v %+v", f.Value, f.CI, f.Test.P, f.Looks, f.Evidence)
			}
			if !hasWarning(f.Warnings, analysis.WarnAfterLook) {
				t.Errorf("%v", f.Warnings)
			}
		})
	}
}

func stopped(f analysis.Finding) bool {
	return f.Looks != nil && f.Looks.Stopped > 0 || f.Evidence != nil && f.Evidence.Stopped
}

// untilStopped are the ratings of the sittings up to the one in which tasting ended.
func untilStopped(s *study.Study, ratings []analysis.Rating, f analysis.Finding) (kept []analysis.Rating) {
	last := 0
	for _, r := range ratings {
		if slices.ContainsFunc(f.Pair.Each, func(p analysis.Pair) bool { return p.Assessor == r.Assessor }) {
			last = max(last, r.Sitting)
		}
	}
	for _, r := range ratings {
		if r.Sitting > last {
			continue
		}
		if len(s.Plan.Looks) > 0 {
			r.Look, r.Arrived = r.Sitting, 0 // a look after each sitting
		}
		kept = append(kept, r)
	}
	return kept
}
