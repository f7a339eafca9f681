package analysis

import (
	"math"
	"slices"

	"cloche/internal/stats"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// WorthAhead is what so many people would find of a name that is laid on a series, by
// simulating studies.
type WorthAhead struct {
	Assessors, Studies int
	Found              float64 // share in which the name is found to do something
	Unbounded          float64 // share in which the amounts are not told apart, so that its worth has no two ends
	// Reach is half of the interval of its worth, the middle one of those with two ends; NaN when none
	Reach float64
}

// How many studies are simulated, and how many people in all of them together.
const (
	worthStudies = 1000
	worthPeople  = 100_000
)

// WorthAhead simulates people's own slopes and what they rate the dish above their own line,
// as the size supposes them, and takes Fieller's set of each study. Of incomplete blocks the
// chance errors are as much larger as the blocks are less efficient. The same question gives
// the same answer.
func (q Sizing) WorthAhead(n int) WorthAhead {
	w := WorthAhead{Assessors: n, Studies: max(100, min(worthStudies, worthPeople/max(1, n))), Reach: math.NaN()}
	random := newStream(uint64(n), "what a name is worth")
	slope, sd, own := q.Difference/q.Worth, q.Spread.SD/math.Sqrt2, math.Sqrt(q.ShiftOwn)
	slopes, shifts := make([]float64, n), make([]float64, n)
	var halves []float64
	for range w.Studies {
		for i := range n {
			off := sd * random.NormFloat64() / math.Sqrt(q.SlopeSS)
			slopes[i], shifts[i] = slope+off, q.Difference+sd*own*random.NormFloat64()-q.ShiftOff*off
		}
		r, err := dose.RatioOfMeans(shifts, slopes, 1-q.Alpha)
		if err != nil {
			continue
		}
		if r.Type != dose.Bounded {
			w.Unbounded++
		} else {
			halves = append(halves, (r.CI.Hi-r.CI.Lo)/2)
		}
		if !(Fieller{r.Type, r.CI, r.Excluded}).Holds(0) { // just when the t test of the shifts finds it
			w.Found++
		}
	}
	w.Found, w.Unbounded = w.Found/float64(w.Studies), w.Unbounded/float64(w.Studies)
	if len(halves) > 0 {
		slices.Sort(halves)
		w.Reach = stats.MedianOfSorted(halves)
	}
	return w
}

// Words say what a panel would find of a name worth so much.
func (w WorthAhead) Words(u study.AmountUnit, worth float64) study.Said {
	said := study.Say("With %d people %s of %d simulated studies find a name that is worth %s", w.Assessors,
		InPercent(w.Found), w.Studies, u.Words(worth))
	if !math.IsNaN(w.Reach) {
		said = together(said, study.Say("the interval of its worth then reaches about %s up and down",
			u.Short(roundTo(w.Reach, 2))))
	}
	if w.Unbounded > 0 {
		return study.Say("%s. In %s the amounts are not told apart, and its worth has no two ends.", said,
			InPercent(w.Unbounded))
	}
	return study.Say("%s. In all of them it has two ends.", said)
}

// roundTo rounds to so many digits.
func roundTo(v float64, digits int) float64 {
	if v == 0 {
		return 0
	}
	at := math.Pow(10, float64(digits-1)-math.Floor(math.Log10(math.Abs(v))))
	return math.Round(v*at) / at
}

// ahead simulates the panel planned and the one needed.
func (z *Size) ahead() {
	q := z.Request
	if q.Test != ShiftTest || !q.possible() || !(q.Worth > 0) {
		return
	}
	for _, n := range []int{z.Planned.Assessors, z.Needed.Assessors} {
		if n >= 2 && n <= mostAhead && (len(z.Ahead) == 0 || z.Ahead[0].Assessors != n) {
			z.Ahead = append(z.Ahead, q.WorthAhead(n))
		}
	}
}

// mostAhead are the most people whose studies are simulated.
const mostAhead = 2_000
