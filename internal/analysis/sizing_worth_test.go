package analysis_test

import (
	"math"
	"slices"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/simulated"
	"cloche/internal/stats"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// TestWorthAheadIsTheSize: the simulated shares are those of the noncentral t, of the name and
// of the slope, within what so few studies leave open.
func TestWorthAheadIsTheSize(t *testing.T) {
	t.Parallel()
	s, _ := saltStudy(t)
	for _, effect := range []float64{1, 3, 6} {
		s.Plan.SmallestEffect = effect
		q, err := analysis.SizingOf(s)
		if err != nil || q.Test != analysis.ShiftTest || q.Worth != 1 || q.Difference != effect {
			t.Fatalf("%v %+v", err, q)
		}
		z, err := analysis.FindSize(q)
		if err != nil || len(z.Ahead) == 0 {
			t.Fatal(err, z)
		}
		slope := q
		slope.Test = analysis.SlopeTest
		line, err := analysis.FindSize(slope)
		if err != nil {
			t.Fatal(err)
		}
		w := z.Ahead[0]
		if off := math.Abs(w.Found - z.Planned.Power); off > simulated.Margin(z.Planned.Power, w.Studies) {
			t.Errorf("%g points: %v found, power %v", effect, w.Found, z.Planned.Power)
		}
		open := 1 - line.Planned.Power
		if off := math.Abs(w.Unbounded - open); off > simulated.Margin(open, w.Studies)+0.001 {
			t.Errorf("%g points: %v unbounded, by the slope %v", effect, w.Unbounded, open)
		}
	}
}

// TestWorthAheadIsWhatComes: the half of the interval that the size tells is the middle one of
// whole studies with its truth, complete and in blocks.
func TestWorthAheadIsWhatComes(t *testing.T) {
	t.Parallel()
	for name, each := range map[string]int{"all": 6, "four of six": 4} {
		s, _ := saltStudy(t)
		s.Attributes, s.Plan.WantedRating, s.Plan.SmallestEffect = s.Attributes[:1], nil, 6
		if each < 6 {
			s.Serving.Design, s.Serving.PerAssessor = study.Some, each
		}
		plan, err := design.Draw(s, design.Options{Seed: 3})
		if err != nil {
			t.Fatal(err)
		}
		q, err := analysis.SizingOf(s)
		if err != nil {
			t.Fatal(err)
		}
		q.Spread = analysis.GivenSpread(10)
		effects := map[study.SampleID]float64{"N": 6}
		for i, id := range []study.SampleID{"A", "B", "C", "D", "E"} {
			effects[id] = 6 * float64(i-2)
		}
		truth := analysis.Truth{"saltiness": {Mean: 50, Effects: effects, AssessorSD: 8, RatingSD: 10 / math.Sqrt2}}
		var halves []float64
		for seed := range uint64(60) {
			r, err := analysis.Analyse(s, analysis.Simulate(s, plan, truth, seed), analysis.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if set := r.Findings[0].Dose.Laid.Fieller; set.Shape == dose.Bounded {
				halves = append(halves, (set.CI.Hi-set.CI.Lo)/2)
			}
		}
		told, came := q.WorthAhead(s.Panel.Assessors).Reach, stats.MedianOfSorted(slices.Sorted(slices.Values(halves)))
		t.Logf("%s: told %.3f g, came %.3f g", name, told, came)
		if len(halves) < 55 || math.Abs(told-came) > 0.12*came {
			t.Errorf("%s: told %.3f g up and down, came %.3f g in %d studies", name, told, came, len(halves))
		}
	}
}

// TestWorthTried: a quarter of the series, to one digit.
func TestWorthTried(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ least, most, want float64 }{{6, 10, 1}, {5.6, 10.4, 1}, {200, 400, 50},
		{0.1, 0.13, 0.008}} {
		s := &study.Study{Dishes: []study.Dish{{ID: "a", Amount: tc.least}, {ID: "b", Amount: tc.most}},
			Samples: []study.Sample{{ID: "A", Dish: "a"}, {ID: "B", Dish: "b"}}}
		if got := analysis.WorthTried(s); math.Abs(got-tc.want) > 1e-12 {
			t.Errorf("%g to %g: %v, want %v", tc.least, tc.most, got, tc.want)
		}
	}
	if got := analysis.WorthTried(&study.Study{}); got != 0 {
		t.Errorf("no series: %v", got)
	}
}
