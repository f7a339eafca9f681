package analysis_test

import (
	"math"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/simulated"
	"cloche/internal/stats/looks"
	"cloche/internal/study"
)

// lookingSize sizes a study of differences with a spread of 10 points.
func lookingSize(t testing.TB, s *study.Study, n int, dz float64) analysis.LookingAhead {
	t.Helper()
	s.Plan.SmallestEffect = 10 * dz
	q, err := analysis.SizingOf(s)
	if err != nil {
		t.Fatal(err)
	}
	q.Spread, q.Assessors = analysis.Spread{SD: 10}, n
	z, err := analysis.FindSize(q)
	if err != nil || z.Looking == nil {
		t.Fatal(err, z)
	}
	return *z.Looking
}

// What looks come to is what their bounds say of a normal mean, but for the t in place of z: looks at 16, 32 and
// 48 people with a mean of 0.4 standard deviations.
func TestLookingAheadOfLooks(t *testing.T) {
	t.Parallel()
	w := lookingSize(t, lookingStudy(t), 48, 0.4)
	fractions := []float64{1. / 3, 2. / 3, 1}
	bounds, err := looks.Bounds(fractions, 0.05, looks.OBrienFleming)
	if err != nil {
		t.Fatal(err)
	}
	z := []float64{bounds[0].Z, bounds[1].Z, bounds[2].Z}
	for i, dz := range []float64{0, 0.2, 0.4} {
		e, err := looks.Exit(fractions, z, dz*math.Sqrt(48))
		if err != nil {
			t.Fatal(err)
		}
		row := w.Rows[i]
		const byT = 0.02 // how far t moves them with so few people
		early := e.Stop[0] + e.Stop[1]
		if row.Difference != 10*dz || math.Abs(row.Found-e.Power) > simulated.Margin(e.Power, w.Studies)+byT ||
			math.Abs(row.Early-early) > simulated.Margin(early, w.Studies)+byT ||
			math.Abs(row.People-48*e.MeanFraction) > 1 {
			t.Errorf("%+v, by the bounds %v found, %v early, %v people", row, e.Power, early, 48*e.MeanFraction)
		}
	}
}

// What evidence comes to is what an independent simulation of 4,000 studies gave: 80 % of them stop by 57 people
// with a mean of 0.5 standard deviations, by 87 with 0.4; and a false alarm is rarer than alpha.
func TestLookingAheadOfEvidence(t *testing.T) {
	t.Parallel()
	s := lookingStudy(t)
	s.Plan.Looks, s.Plan.Spending, s.Plan.Evidence, s.Plan.EvidenceAt = nil, "", study.ByMixture, 0.5
	for dz, want := range map[float64]int{0.5: 57, 0.4: 87} {
		w := lookingSize(t, s, 200, dz)
		if w.Needed < want-5 || w.Needed > want+5 {
			t.Errorf("%g: %d people, want about %d", dz, w.Needed, want)
		}
		if found := w.Rows[0].Found; found > 0.05 || w.Rows[0].Early > found {
			t.Errorf("%g: %+v", dz, w.Rows[0])
		}
	}
	s.Plan.Evidence = study.ByBetting
	if w := lookingSize(t, s, 200, 0.5); w.Rows[0].Found > 0.05 || w.Needed <= 57 {
		t.Errorf("bets: %+v", w)
	}
}

// It is worked out while somebody waits for the page.
func TestLookingAheadIsQuick(t *testing.T) {
	s := lookingStudy(t)
	s.Plan.Looks, s.Plan.Spending, s.Plan.Evidence, s.Plan.EvidenceAt = nil, "", study.ByBetting, 0.5
	began := time.Now()
	lookingSize(t, s, 400, 0.1)
	if took := time.Since(began); took > 3*time.Second {
		t.Errorf("%v", took)
	} else {
		t.Log(took)
	}
}
