package analysis

import (
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// SlopeTest is the test of how a rating goes with an amount. Its difference is in points
// for each unit more; it is sized for the amounts of a study.
const SlopeTest = SizedTest(method.SlopeT)

// ShiftTest is the test of how far a dish that is served otherwise lies above the line of the
// amounts: of what a name is worth. Its difference is in points above the line.
const ShiftTest = SizedTest(method.ShiftT)

// OfAmounts reports whether a test is of a series of amounts.
func (t SizedTest) OfAmounts() bool { return t == SlopeTest || t == ShiftTest }

// WorthTried is what a name is taken to be worth before anybody knows: a quarter of the
// series, to one digit (a choice of ours).
func WorthTried(s *study.Study) float64 {
	series, _ := s.Series()
	if len(series) == 0 {
		return 0
	}
	worth := (s.Amount(series[len(series)-1].ID) - s.Amount(series[0].ID)) / 4
	if !(worth > 0) {
		return 0
	}
	return roundTo(worth, 1)
}

// ofAmounts fills what the size of a slope needs to know of the series.
func (q *Sizing) ofAmounts(s *study.Study) {
	series, laid := s.Series()
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
	if q.Test != ShiftTest || len(laid) == 0 {
		return
	}
	q.Worth = WorthTried(s)
	q.ShiftOff, q.ShiftOwn, q.Difference = s.Amount(laid[0].ID)-mean, 1+1/m, q.Difference*q.Worth
	if k := float64(s.Serving.PerAssessor); s.Serving.Design == study.Some && k > 1 {
		// each is rated by a part of the panel, and compared within blocks of k of all samples
		q.ShiftOwn *= (float64(len(s.Samples)) - 1) / (k - 1)
	}
}

// slopeSD is how far the slopes of people's own lines lie apart by chance: the spread of a
// rating over the root of the sum of squares of the amounts. The spread of a difference
// of two ratings is √2 that of one. Of a dish laid on the lines: how far its distances from
// them do.
func (q Sizing) slopeSD() float64 {
	if q.Test == ShiftTest {
		return q.Spread.SD / math.Sqrt2 * math.Sqrt(q.ShiftOwn+q.ShiftOff*q.ShiftOff/q.SlopeSS)
	}
	return q.Spread.SD / math.Sqrt(2*q.SlopeSS)
}

// slopeSize is a t test of the mean of people's slopes, or of how far a dish lies above their
// lines, exact by the noncentral t.
type slopeSize struct{ tSize }

func newSlopeSize(q Sizing, side stats.Alternative) (sizeMethod, error) {
	if !(q.SlopeSS > 0) || q.Test == ShiftTest && !(q.ShiftOwn > 0) {
		return nil, &SizingError{"test", study.Say("how sure a slope is depends on the amounts, and none are given"),
			study.Say("size it from a study file of amounts")}
	}
	return slopeSize{tSize{q, size.TDesign{Effect: q.Difference / q.slopeSD(), Alpha: q.Alpha,
		Alternative: side}}}, nil
}

func (m slopeSize) detects(n int) (difference, distance float64) {
	effect, err := size.DetectableEffectT(n, m.q.Power, m.d)
	return orNaN(effect*m.q.slopeSD(), err), math.NaN()
}

func (m slopeSize) assumptions() []study.Said {
	of := []study.Said{study.Say("points are for each %s more; the slopes of people’s own lines lie apart by %s, by "+
		"chance alone", m.q.SlopeUnit, pointsWord(m.q.slopeSD()))}
	if m.q.Test == ShiftTest {
		of = []study.Said{study.Say("points are those by which the dish under the name is rated above the series; "+
			"people’s own lie apart by %s, by chance alone", pointsWord(m.q.slopeSD()))}
		if m.q.Difference > 0 {
			of = append(of, study.Say("each %s more adds %s, and the name as much as %s of these: a quarter of the "+
				"series",
				m.q.SlopeUnit, pointsWord(m.q.Difference/m.q.Worth), Points(m.q.Worth)))
		}
	}
	return append(of,
		study.Say("people do not differ in how strongly they taste the amounts: where they do, it takes more of "+
			"them"),
		study.Say("the slopes of different people are near normal, and everybody counted rates the series: plan "+
			"some more for those who leave"), onlyOneComparison)
}
