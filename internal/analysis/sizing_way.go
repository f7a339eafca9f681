package analysis

import (
	"math"
	"slices"
	"sort"
	"strconv"

	"gonum.org/v1/gonum/stat/distuv"

	"cloche/internal/stats"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// WayAhead is what a panel would find of how far a name draws ratings from blind to expected, by
// simulating studies of names that go [WayTried] of the way.
type WayAhead struct {
	Assessors int // planned, who say what they expect and rate the dish blind and under its name; 0 = none are planned
	Studies   int // for each row
	Rows      []WayAheadRow
}

// WayAheadRow is what comes when a name promises so much more than the dish gives.
type WayAheadRow struct {
	Gap   float64 // expected minus tasted blind, scale points
	Named float64 // share of studies in which the share of the way has two ends; NaN when nobody is planned
	Drawn float64 // share whose interval is clear of 0: that the name draws is found; NaN likewise
	Reach float64 // half of the interval, as a share of the way, the middle one of those with two ends; NaN when none
	// Needed is the smallest panel of whose studies the power wished for know the share to [WayWithin] up and
	// down, in the middle of the interval; 0 = none up to [mostAhead].
	Needed int
}

// What is supposed of names, and how well their pull is to be known: choices of ours.
const (
	WayTried  = 0.5  // share of the way
	WayWithin = 0.25 // half of the interval of that share
	// waySpread is how far people's own gaps lie apart, in errors of one rating.
	waySpread  = 0.8
	wayStudies = 2000
)

// wayGaps are what names promise, as multiples of the smallest difference worth acting on: the first
// moves ratings by just that much when it goes half of the way.
var wayGaps = [...]float64{2, 3, 4}

// ofWay fills which part of the panel says what it expects of a name and rates its dish blind and
// under it.
func (q *Sizing) ofWay(s *study.Study) {
	served := slices.ContainsFunc(s.Samples, func(x study.Sample) bool {
		_, ok := BlindTwin(s, x)
		return ok
	})
	if !served || !s.Serving.Expectation || q.Test.betweenGroups() {
		return
	}
	if q.Way = (Part{1, 1}); s.Serving.Design == study.Some {
		t, k := len(s.Samples), s.Serving.PerAssessor
		q.Way = Part{k * (k - 1), t * (t - 1)}
	}
	if s.Serving.AskHalf {
		q.Way.Of *= 2
	}
}

// wayAhead simulates the panel planned and looks for the one needed.
func (z *Size) wayAhead() {
	q := z.Request
	if q.Way == (Part{}) || !(q.Difference > 0) || !(q.Spread.SD > 0) || math.IsInf(q.Spread.SD, 0) {
		return
	}
	w := &WayAhead{Studies: wayStudies}
	if q.Assessors > 0 {
		w.Assessors = q.Way.comparisons(q.Assessors)
	}
	for _, k := range wayGaps {
		row := WayAheadRow{Gap: k * q.Difference, Named: math.NaN(), Drawn: math.NaN(), Reach: math.NaN()}
		if q.Length > 0 && row.Gap > q.Length {
			break // nobody can expect that
		}
		if w.Assessors >= 2 && w.Assessors <= mostAhead {
			row.Named, row.Drawn, row.Reach = q.waysAt(row.Gap, w.Assessors, w.Studies)
		}
		row.Needed = q.wayNeeded(row.Gap)
		w.Rows = append(w.Rows, row)
	}
	if len(w.Rows) > 0 {
		z.Way = w
	}
}

// waysAt simulates studies of n people.
func (q Sizing) waysAt(gap float64, n, studies int) (named, drawn, reach float64) {
	var halves []float64
	for _, r := range q.ways(gap, n, studies) {
		if r.Type != dose.Bounded {
			continue
		}
		halves = append(halves, (r.CI.Hi-r.CI.Lo)/2)
		if r.CI.Lo > 0 || r.CI.Hi < 0 {
			drawn++
		}
	}
	reach = math.NaN()
	if len(halves) > 0 {
		slices.Sort(halves)
		reach = stats.MedianOfSorted(halves)
	}
	return float64(len(halves)) / float64(studies), drawn / float64(studies), reach
}

// wayNeeded is the smallest panel that knows the share well enough; 0 when there is none up to the
// largest that is simulated.
func (q Sizing) wayNeeded(gap float64) int {
	const studies = wayStudies / 4
	knows := func(n int) bool {
		well := 0
		for _, r := range q.ways(gap, n, studies) {
			if r.Type == dose.Bounded && (r.CI.Hi-r.CI.Lo)/2 <= WayWithin {
				well++
			}
		}
		return float64(well) >= q.Power*studies
	}
	n := 3 + sort.Search(mostAhead-2, func(i int) bool { return knows(i + 3) })
	if n > mostAhead {
		return 0
	}
	return q.Way.assessors(n)
}

// ways simulates Fieller's sets of studies of n people, 2 or more. A rating errs by σ, which is the spread of the
// differences over √2; a person's gap lies [waySpread] of σ from the mean one; what people are higher or lower by
// cancels. Then I − B and E − B of a person are normal together, with variances A²v + 2σ² and v + 2σ² and
// covariance A·v + σ², and the means of n of them and their sums of squares are drawn at once (Bartlett 1933,
// from memory). The same question gives the same answer.
func (q Sizing) ways(gap float64, n, studies int) []dose.RatioResult {
	random := newStream(uint64(n), "how far a name draws")
	sigma2 := q.Spread.SD * q.Spread.SD / 2
	v, people := waySpread*waySpread*sigma2, float64(n)
	sdMoved := math.Sqrt(WayTried*WayTried*v + 2*sigma2)
	on := (WayTried*v + sigma2) / sdMoved // Cholesky: E − B = on·z₁ + own·z₂
	own := math.Sqrt(v + 2*sigma2 - on*on)
	first := distuv.ChiSquared{K: people - 1, Src: random}
	second := distuv.ChiSquared{K: people - 2, Src: random}
	all := make([]dose.RatioResult, 0, studies)
	for range studies {
		z1, z2 := random.NormFloat64()/math.Sqrt(people), random.NormFloat64()/math.Sqrt(people)
		a, b, c := math.Sqrt(first.Rand()), random.NormFloat64(), 0.0
		if n > 2 {
			c = math.Sqrt(second.Rand())
		}
		// rows of the Cholesky factor of the sums of squares and products
		m11, m21, m22 := sdMoved*a, on*a+own*b, own*c
		of := people * (people - 1)
		r, err := dose.Fieller(dose.Estimates{A: WayTried*gap + sdMoved*z1, B: gap + on*z1 + own*z2,
			VarA: m11 * m11 / of, VarB: (m21*m21 + m22*m22) / of, Cov: m11 * m21 / of,
			DegreesOfFreedom: people - 1}, 1-q.Alpha)
		if err == nil {
			all = append(all, r)
		}
	}
	return all
}

// Words say what the simulated studies are of.
func (w WayAhead) Words() study.Said {
	if w.Assessors > 0 {
		return study.Say("If a name goes half of the way from what is tasted blind to what it promises, by %d "+
			"simulated studies for each row, with the %d planned who say what they expect and taste the dish "+
			"both ways.",
			w.Studies, w.Assessors)
	}
	return study.Say("If a name goes half of the way from what is tasted blind to what it promises, by %d simulated "+
		"studies for each row.", w.Studies)
}

// Rests says what the simulation supposes.
func (w WayAhead) Rests() study.Said {
	return study.Say("“Two ends”: in so many studies the share of the way has two, because expected and tasted "+
		"blind are told apart. “Known to”: half of its interval, in hundredths of the way, in the middle study. "+
		"People scatter in what a name promises them by %s errors of one rating, and what they expect errs as a "+
		"rating does (choices of ours).", Points(waySpread))
}

// Cells are the row in words: what the name promises, how often the share has two ends, how well it is known, and the
// panel needed.
func (r WayAheadRow) Cells() []study.Said {
	needed := study.Say("none")
	if r.Needed > 0 {
		needed = study.Say(strconv.Itoa(r.Needed))
	}
	return []study.Said{pointsWord(r.Gap), shortShare(r.Named, "%s"), shortShare(r.Reach, "±\u00a0%s"), needed}
}

// shortShare is a share in a narrow cell.
func shortShare(v float64, as string) study.Said {
	switch {
	case math.IsNaN(v):
		return study.Say("–")
	case v > 0.995 && v < 1:
		return study.Say(as, study.Say("over 99\u00a0%"))
	}
	return study.Say(as, InPercent(v))
}
