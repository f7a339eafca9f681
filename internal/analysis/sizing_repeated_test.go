package analysis_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

// Where half of the variance of a difference is chance from one rating to the next, the planned
// analysis of simulated studies in which everybody rates each sample twice finds the difference
// as often as is said beside the size: two samples, and all of three in the mixed model.
func TestRepeatedRatingsFindWhatTheirSizeSays(t *testing.T) {
	if testing.Short() {
		t.Skip("simulates studies")
	}
	const spread, difference = 12, 6
	for _, tc := range []struct {
		samples int
		test    study.Test
	}{{2, study.PairedT}, {3, study.MixedF}} {
		s := panelOf(tc.samples)
		s.Attributes = s.Attributes[:1]
		s.Serving.Replicates, s.Panel.Assessors = 2, 24
		s.Plan.Test, s.Plan.WholePanel, s.Plan.SmallestEffect = tc.test, tc.test == study.MixedF, difference
		s.Attributes[0].Scale = study.Scale{Kind: study.Line, From: 0, To: 100}
		plan, err := design.Draw(s, design.Options{Seed: 3})
		if err != nil {
			t.Fatal(err)
		}
		q, err := analysis.SizingOf(s)
		if err != nil {
			t.Fatal(err)
		}
		q.Spread, q.Assessors = analysis.GivenSpread(spread), plan.Assessors
		z := findSize(t, q)
		want := besideOf(z, analysis.BesideRepeated)
		if !(want.Planned > z.Planned.Power && want.Needed < z.Needed.Assessors) {
			t.Errorf("%s: twice %+v, once %+v", tc.test, want, z.Needed)
		}
		truth := analysis.Truth{s.Attributes[0].ID: {Mean: 50, AssessorSD: 10, SampleSD: spread / 2.,
			RatingSD: spread / 2., Effects: map[study.SampleID]float64{s.Samples[0].ID: difference / 2.,
				s.Samples[1].ID: -difference / 2.}}}
		found, studies := 0, simulated.Analyses(1000)
		for seed := range uint64(studies) {
			ratings := analysis.Simulate(s, plan, truth, seed)
			f := foundAlone(t, s, ratings)
			if seed < 3 && analyse(t, s, ratings).Findings[0].Test.P != f.Test.P {
				t.Errorf("%s, seed %d: the whole analysis has another p", tc.test, seed)
			}
			if f.Role == analysis.Primary && f.Test.P < s.Plan.Alpha {
				found++
			}
		}
		share := float64(found) / float64(studies)
		t.Logf("%s: power %.3f, found in %.3f of %d; once %.3f", tc.test, want.Planned, share, studies, z.Planned.Power)
		if math.Abs(share-want.Planned) > 4*math.Sqrt(0.25/float64(studies)) {
			t.Errorf("%s: power %.3f, found in %.3f of %d", tc.test, want.Planned, share, studies)
		}
	}
}

// Two groups whose answers are compared by their order are sized for that, and the planned
// analysis of simulated groups finds the difference as often.
func TestOrdinalGroupsFindWhatTheirSizeSays(t *testing.T) {
	if testing.Short() {
		t.Skip("simulates studies")
	}
	for _, tc := range []struct {
		labels             int
		difference, spread float64
	}{{5, 0.7, 1.1}, {7, 1, 1.6}} {
		s := ofLabels(tc.labels)
		s.Serving.Design, s.Plan.SmallestEffect = study.One, tc.difference
		q, err := analysis.SizingOf(s)
		if err != nil || q.Test != analysis.OrdinalOfGroups {
			t.Fatalf("%s: %v", q.Test, err)
		}
		q.Spread, q.Assessors = analysis.GivenSpread(tc.spread), 80
		z := findSize(t, q)
		if z.Planned.Comparisons != 40 || !strings.Contains(fmt.Sprint(z.Assumptions), "alike in both groups") {
			t.Errorf("%+v, %v", z.Planned, z.Assumptions)
		}
		scale, apart := analysis.OrderedGroupsOf(tc.labels, tc.spread, tc.difference)
		random, found, studies := rand.New(rand.NewPCG(4, uint64(tc.labels))), 0, simulated.Analyses(2000)
		for i := range studies {
			answers := groupsByOrder(s, random, q.Assessors, scale, apart)
			p := foundAlone(t, s, answers).Test.P
			if i < 3 && analyse(t, s, answers).Findings[0].Test.P != p {
				t.Errorf("%d labels, study %d: the whole analysis has another p", tc.labels, i)
			}
			if p < q.Alpha {
				found++
			}
		}
		share := float64(found) / float64(studies)
		t.Logf("%d labels: power %.3f, found in %.3f of %d", tc.labels, z.Planned.Power, share, studies)
		if off := 4*math.Sqrt(0.25/float64(studies)) + 0.02; math.Abs(share-z.Planned.Power) > off {
			t.Errorf("%d labels: power %.3f, found in %.3f of %d", tc.labels, z.Planned.Power, share, studies)
		}
	}
}

// groupsByOrder are the answers of people with a logistic scatter, every other one of the
// first sample.
func groupsByOrder(s *study.Study, random *rand.Rand, n int, scale, apart float64) (all []analysis.Rating) {
	labels := float64(len(s.Attributes[0].Scale.Labels))
	for i := range n {
		u := random.Float64()
		x := apart/2*float64(1-i%2*2) + scale*math.Log(u/(1-u)) + (labels+1)/2
		all = append(all, analysis.Rating{Assessor: fmt.Sprint(i + 1), Sample: s.Samples[i%2].ID, Attribute: "salt",
			Position: 1, Value: math.Min(labels, math.Max(1, math.Round(x)))})
	}
	return all
}
