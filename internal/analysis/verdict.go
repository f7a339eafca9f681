package analysis

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/study"
)

// VerdictCode is what a finding comes to: a stable short word.
type VerdictCode string

// The verdicts, in the order in which the table of [evidence.code] is read.
const (
	TooFew            VerdictCode = "too-few"             // fewer assessors than a verdict takes
	DifferentAct      VerdictCode = "different-act"       // different, and worth acting on
	DifferentSmall    VerdictCode = "different-small"     // different, and too small to act on: practically the same
	DifferentSizeOpen VerdictCode = "different-size-open" // different; how much is open
	Alike             VerdictCode = "alike"               // practically the same: see sameness.go
	Open              VerdictCode = "open"                // neither shown nor ruled out
)

// Verdict is what a finding comes to.
type Verdict struct {
	Code      VerdictCode
	Direction int  // of the difference: 1 the first sample is higher, -1 lower, 0 not to be told
	Sameness  bool // the plan asks whether the two are practically the same
	Against   bool // a one-sided plan looked in the other direction: the interval shows it, the test does not
	// smallest difference worth acting on, scale points, or a share beyond that of chance; 0 when none is stated
	Margin float64
	Next   Next
}

// Different reports whether a difference was found.
func (v Verdict) Different() bool {
	return v.Code == DifferentAct || v.Code == DifferentSmall || v.Code == DifferentSizeOpen
}

// fewestForVerdict is the number of pairs below which no result of a rank or sign
// test reaches 5 %, two-sided: 2/2⁵ is 0.0625. A t test would, leaning on a normal
// distribution that so few people cannot show.
const fewestForVerdict = 6

// Fewest is the least number of pairs on which a verdict is given at this alpha.
func Fewest(alpha float64) int { return max(fewestForVerdict, fewestPairs(alpha)) }

// evidence is what a verdict follows from.
type evidence struct {
	n, fewest int
	found     bool // a difference: its test, adjusted where adjusted, is below alpha; or [Verdict.Against]
	beyond    bool // the interval at 1 − alpha, see [beyond]
	inside    bool // the interval at 1 − 2·alpha, see [inside]
	sameness  bool // [Verdict.Sameness]
}

// beyond reports whether an interval has both ends at the margin or farther from 0, on
// one side. Without a margin, or without an interval, it has not.
func beyond(ci stats.Interval, margin float64) bool {
	return margin > 0 && (ci.Lo >= margin || ci.Hi <= -margin)
}

// inside reports whether an interval has both ends nearer to 0 than the margin.
func inside(ci stats.Interval, margin float64) bool {
	return margin > 0 && ci.Level > 0 && ci.Lo > -margin && ci.Hi < margin
}

// code is the table of verdicts.
//
//	people    asked        difference  intervals   verdict
//	too few   –            –           –           too-few
//	enough    sameness     –           inside      alike
//	enough    –            found       beyond      different-act
//	enough    difference   found       inside      different-small
//	enough    –            found       otherwise   different-size-open
//	enough    difference   not found   inside      alike
//	enough    –            not found   otherwise   open
func (e evidence) code() VerdictCode {
	switch {
	case e.n < e.fewest:
		return TooFew
	case e.sameness && e.inside:
		return Alike
	case e.found && e.beyond:
		return DifferentAct
	case e.found && e.inside:
		return DifferentSmall
	case e.found:
		return DifferentSizeOpen
	case e.inside:
		return Alike
	}
	return Open
}

// Judge gives a finding its verdict, after its p-values and interval were adjusted. A
// share is held against the one that chance gives, a difference against 0.
func (f *Finding) Judge(plan study.AnalysisPlan) {
	if f.Kind == KindPanel {
		f.judgePanel(plan)
		return
	}
	if f.Kind == KindRanking {
		f.judgeRanking(plan)
		return
	}
	if f.Kind == KindAboutRight {
		f.judgeAboutRight(plan)
		return
	}
	if f.Kind == KindWords {
		f.judgeWords(plan)
		return
	}
	if f.Kind == KindFactor && !f.Factor.Contrast {
		f.judgeTogether(plan)
		return
	}
	v := Verdict{Direction: f.Lean, Sameness: f.asksSameness(plan), Margin: f.smallest(plan)}
	f.Verdict = v
	ci, same := fromEven(f.Stated(), f.Choice.Chance), fromEven(f.EquivalenceCI, f.Choice.Chance)
	if v.Sameness {
		ci = f.CI
	}
	// Fewer right answers than guessing gives speak of no difference.
	if f.Role == Primary && f.Choice.Told == nil && f.Choice.Said == nil {
		v.Against = plan.Sides == study.Greater && ci.Hi < 0 || plan.Sides == study.Less && ci.Lo > 0
	}
	e := evidence{n: f.deciders(), fewest: f.fewest(plan.Alpha),
		found:  v.Against || f.TestOfDifference().Deciding() < plan.Alpha,
		beyond: beyond(ci, v.Margin), inside: inside(same, v.Margin), sameness: v.Sameness}
	if t := f.Choice.Told; t != nil { // finding no difference never shows that there is none
		e.inside = t.Alike != nil && t.Alike.Shown(t.Right)
		if t.Early != nil {
			t.Early.decide(&e)
		}
	}
	v.Code = e.code()
	if v.Code == TooFew {
		v.Against = false
	}
	if v.Against {
		v.Direction = signOf(f.Value - f.Choice.Chance)
	}
	f.Verdict = v
	f.Verdict.Next = f.next(plan)
	f.Hint = f.hint(plan)
}

// fromEven is an interval as seen from where neither sample has more.
func fromEven(ci stats.Interval, even float64) stats.Interval {
	return stats.Interval{Lo: ci.Lo - even, Hi: ci.Hi - even, Level: ci.Level}
}

// TestOfDifference is the test of whether the samples differ at all: the planned one, or
// the first beside it where the plan asks whether they are practically the same.
func (f *Finding) TestOfDifference() Test {
	if f.Verdict.Sameness && len(f.Also) > 0 {
		return f.Also[0]
	}
	return f.Test
}

// deciders are the answers that decide: whoever has no preference does not, unless the
// plan counts them half for each.
func (f *Finding) deciders() int {
	if p := f.Choice.Preferred; p != nil {
		return p.First + p.Second + p.Split
	}
	if f.Kind == KindGroups { // the smaller group
		return min(f.Groups.Ns[0], f.Groups.Ns[1])
	}
	return f.N
}

// fewest are the deciders that a verdict takes.
func (f *Finding) fewest(alpha float64) int {
	if f.Kind == KindGroups {
		return FewestInGroup(alpha)
	}
	return Fewest(alpha)
}

// Deciding is the p-value that decides: the adjusted one where there is one.
func (t Test) Deciding() float64 {
	if !math.IsNaN(t.PAdjusted) {
		return t.PAdjusted
	}
	return t.P
}

// Stated is the interval to be told with the finding: that of the planned test, and
// the one that is adjusted as p is, where there is one.
func (f *Finding) Stated() stats.Interval {
	if f.Verdict.Sameness && !f.EquivalenceCI.Absent() {
		return f.EquivalenceCI
	}
	if f.Adjusted.Level > 0 && !f.Adjusted.Absent() {
		return f.Adjusted
	}
	return f.CI
}

// Contradicted returns the test beside the planned one when the two fall on
// different sides of alpha, both adjusted or neither.
func (f *Finding) Contradicted(alpha float64) (other Test, yes bool) {
	// what stands beside answers another question
	if len(f.Also) == 0 || f.lookedEarly() || f.Verdict.Sameness || f.Kind == KindRanking {
		return Test{}, false
	}
	a, b := f.Test.Deciding(), f.Also[0].Deciding()
	return f.Also[0], !math.IsNaN(a) && !math.IsNaN(b) && (a < alpha) != (b < alpha)
}

func signOf(v float64) int {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}
