package analysis

import (
	"fmt"
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// SlopeTest is the test of how a rating goes with an amount. Its difference is in points
// for each unit more; it is sized for the amounts of a study.
const SlopeTest = SizedTest(method.SlopeT)

// ofAmounts fills what the size of a slope needs to know of the series.
func (q *Sizing) ofAmounts(s *study.Study) {
	if q.Test != SlopeTest {
		return
	}
	series, _ := s.Series()
	mean, m := 0.0, float64(len(series))
	for _, x := range series {
		mean += s.Amount(x.ID) / m
	}
	for _, x := range series {
		q.SlopeSS += (s.Amount(x.ID) - mean) * (s.Amount(x.ID) - mean)
	}
	if k := float64(s.Serving.PerAssessor); s.Serving.Design == study.Some && k > 1 {
		// k of all samples, drawn evenly: of the series a share, with the spread of all of it
		k *= m / float64(len(s.Samples))
		q.SlopeSS *= max(0, k-1) / (m - 1)
	}
	q.SlopeUnit, q.Each = s.AmountsIn.One(), Part{1, 1}
}

// slopeSD is how far the slopes of people's own lines lie apart by chance: the spread of a
// rating over the root of the sum of squares of the amounts. The spread of a difference
// of two ratings is √2 that of one.
func (q Sizing) slopeSD() float64 { return q.Spread.SD / math.Sqrt(2*q.SlopeSS) }

// slopeSize is a t test of the mean of people's slopes, exact by the noncentral t.
type slopeSize struct{ tSize }

func newSlopeSize(q Sizing, side stats.Alternative) (sizeMethod, error) {
	if !(q.SlopeSS > 0) {
		return nil, &SizingError{"test", "how sure a slope is depends on the amounts, and none are given",
			"size it from a study file of amounts"}
	}
	return slopeSize{tSize{q, size.TDesign{Effect: q.Difference / q.slopeSD(), Alpha: q.Alpha, Alternative: side}}}, nil
}

func (m slopeSize) detects(n int) (difference, distance float64) {
	effect, err := size.DetectableEffectT(n, m.q.Power, m.d)
	return orNaN(effect*m.q.slopeSD(), err), math.NaN()
}

func (m slopeSize) assumptions() []string {
	return []string{
		fmt.Sprintf("points are for each %s more; the slopes of people’s own lines lie apart by %s, by chance alone",
			m.q.SlopeUnit, pointsWord(m.q.slopeSD())),
		"people do not differ in how strongly they taste the amounts: where they do, it takes more of them",
		"the slopes of different people are near normal, and everybody counted rates the series: plan some more for " +
			"those who leave", onlyOneComparison}
}
