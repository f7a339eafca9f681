package analysis

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// sizeMethod is how the power of one kind of test is reckoned, from a number of
// comparisons: pairs, assessors in each group, or answers. The question that it
// was made from has been checked, so that nothing in it can fail.
type sizeMethod interface {
	effect() float64
	fewest() int // comparisons below which no result could count
	power(comparisons int) float64
	needed() (first, safe int)
	detects(comparisons int) (difference, distance float64)
	assumptions() []study.Said
}

func (t SizedTest) betweenGroups() bool {
	return t == SizedTest(study.WelchT) || t == SizedTest(study.RankSum) || t == EquivalenceOfGroups ||
		t == OrdinalOfGroups
}

func (t SizedTest) byRanks() bool {
	return t == SizedTest(study.SignedRank) || t == SizedTest(study.RankSum)
}

func (q Sizing) method() (sizeMethod, error) {
	side := stats.TwoSided
	if q.Sides != study.TwoSided { // the difference is taken to lie on the side that is tested
		side = stats.Greater
	}
	if c, ok := q.Test.Choice(); ok && c.ranked {
		return newRankingSize(q, c), nil
	}
	if c, ok := q.Test.Choice(); ok && c.ticked {
		return newTickSize(q, c), nil
	}
	if c, ok := q.Test.Choice(); ok {
		return sizeOfChoice(q, c, side), nil
	}
	if q.Test.OfAmounts() {
		return newSlopeSize(q, side)
	}
	if q.Test == OrdinalTest || q.Test == OrdinalOfGroups {
		return newOrdinalSize(q, side)
	}
	switch {
	case q.Test.ShowsSameness():
		return equivalenceSize{q}, nil
	case q.ofFactor():
		return newFactorSize(q, side), nil
	case q.Test.byModel():
		return newPanelSize(q, side), nil
	case q.Test == SizedTest(study.PairedT), q.Test == SizedTest(study.SignedRank), q.Test.betweenGroups():
		d := size.TDesign{Independent: q.Test.betweenGroups(), Strata: q.Strata, Effect: q.Difference / q.testedSD(),
			Alpha: q.Alpha / float64(max(1, q.OneDish)), Alternative: side}
		if q.Test.byRanks() {
			d.Efficiency = size.RankEfficiency
		}
		if q.OneDish > 0 { // 0.3/0.4 of n
			d.Smaller, d.Few = 0.75, fewInGroup
		}
		return tSize{q, d}, nil
	}
	return nil, &SizingError{"test", study.Say("there is no size of a panel for the test %q", q.Test),
		study.Say("write one of %v", SizedTests())}
}

// orNaN is v unless there was an error.
func orNaN(v float64, err error) float64 {
	if err != nil {
		return math.NaN()
	}
	return v
}

// tSize is a t test, or a rank test by its efficiency.
type tSize struct {
	q Sizing
	d size.TDesign
}

func (m tSize) effect() float64 {
	if m.d.Effect == 0 {
		return math.NaN()
	}
	return m.d.Effect
}

// fewest is where the most lopsided result counts: any for the t test; for ranks
// where its probability, 1 in 2ⁿ or 1 in C(2n, n), is at most alpha, doubled for
// two sides.
func (m tSize) fewest() int {
	if !m.q.Test.byRanks() {
		return m.q.fewestInStrata()
	}
	tail := m.q.Alpha
	if m.d.Alternative == stats.TwoSided {
		tail /= 2
	}
	n, chance := 1, 0.5
	for ; chance > tail; n++ {
		chance /= 2
		if m.d.Independent { // C(2n+2, n+1) = C(2n, n) · 2(2n+1)/(n+1)
			k := float64(n)
			chance *= (k + 1) / (2*k + 1)
		}
	}
	return max(m.q.fewestInStrata(), n)
}

// fewestInStrata is from how many comparisons on something is left to tell the scatter by.
func (q Sizing) fewestInStrata() int { return max(2, (q.Strata+3)/2) }

func (m tSize) power(n int) float64 {
	p, err := size.PowerT(n, m.d)
	return orNaN(p.Power, err)
}

func (m tSize) needed() (first, safe int) {
	s, _ := size.T(m.q.Power, m.d)
	n := max(s.N, m.fewest())
	return n, n
}

func (m tSize) detects(n int) (difference, distance float64) {
	effect, err := size.DetectableEffectT(n, m.q.Power, m.d)
	return orNaN(effect*m.q.testedSD(), err), math.NaN()
}

func (m tSize) assumptions() []study.Said {
	if m.d.Independent {
		return append(m.q.assumesGroups(), onlyOneComparison)
	}
	return []study.Said{study.Say("the differences of different assessors are independent and near normal"),
		study.Say("everybody counted rates both samples: plan some more for those who leave"), onlyOneComparison}
}

// assumesGroups is what a size of two groups takes them to be.
func (q Sizing) assumesGroups() []study.Said {
	if q.OneDish > 0 {
		return []study.Said{study.Say("of ten guests three say too much (or too little), one the other, and six " +
			"about right (choices of ours): the three are compared with the six, as if both were four; where " +
			"fewer than a fifth say so, nothing is to be changed, however large the drop"),
			study.Say("ratings of liking by different guests are independent and near normal, with the same " +
				"spread in both groups")}
	}
	alike := study.Say("ratings of different assessors are independent and near normal, with the same spread in " +
		"both groups")
	if q.Strata > 1 {
		alike = together(alike, study.Say("the spread is that within each of the %d strata, which have as many "+
			"of both groups: where strata rate differently, it is less than that of all ratings", q.Strata))
	}
	return []study.Said{alike, study.Say("groups are equally large, and everybody counted rates their sample")}
}

var onlyOneComparison = study.Say("the size is for one comparison on one attribute; the others find less once they " +
	"are adjusted for their number")

// equivalenceSize is a pair of one-sided t tests, paired or of two groups; the true difference is
// taken to be 0.
type equivalenceSize struct{ q Sizing }

func (m equivalenceSize) effect() float64 {
	if m.q.Difference == 0 {
		return math.NaN()
	}
	return m.q.Difference / m.q.testedSD()
}

func (m equivalenceSize) fewest() int { return m.q.fewestInStrata() }

func (m equivalenceSize) design() size.EquivalenceDesign {
	return size.EquivalenceDesign{Lower: -m.effect(), Upper: m.effect(), Alpha: m.q.Alpha,
		Independent: m.q.Test.betweenGroups(), Strata: m.q.Strata}
}

func (m equivalenceSize) power(n int) float64 {
	p, err := size.PowerTOST(n, m.design())
	return orNaN(p, err)
}

func (m equivalenceSize) needed() (first, safe int) {
	n, _ := size.TOST(m.q.Power, m.design())
	return n, n
}

func (m equivalenceSize) detects(n int) (difference, distance float64) {
	margin, err := size.DetectableMargin(n, m.q.Power, m.design())
	return orNaN(margin*m.q.testedSD(), err), math.NaN()
}

func (m equivalenceSize) assumptions() []study.Said {
	if m.q.Test.betweenGroups() {
		return append([]study.Said{study.Say("the samples are truly alike: the difference of the means is 0")},
			m.q.assumesGroups()...)
	}
	return []study.Said{study.Say("the samples are truly alike: the mean difference is 0"),
		study.Say("the differences of different assessors are independent and near normal"),
		study.Say("everybody counted rates both samples: plan some more for those who leave")}
}
