package study

import "cloche/internal/method"

// Test is a test of a comparison of two samples.
type Test string

// The tests. But for [Lottery], [Ordinal] and [Equivalence] each is of one kind of design: the
// first two and [MixedT] need assessors who taste more than one sample; [WelchT] and [RankSum]
// are for a [One] design, in which nobody tastes both.
const (
	PairedT    Test = Test(method.PairedT)
	SignedRank Test = Test(method.SignedRank) // Wilcoxon (1945), one sample of differences
	WelchT     Test = Test(method.WelchT)     // Welch (1947)
	// Equivalence asks whether the two are practically the same: whether they differ by
	// less than [AnalysisPlan.SmallestEffect].
	Equivalence Test = Test(method.Equivalence)
	// Ordinal compares answers on a scale of few labels by their order, of people or groups.
	Ordinal Test = Test(method.Ordinal)
	// MixedT compares two samples in a mixed model of every rating of all samples.
	MixedT Test = Test(method.MixedT)
	// Lottery draws the serving plan again, within people or between groups.
	Lottery  Test = Test(method.Lottery)
	MixedF   Test = Test(method.MixedF) // the next two too: of a whole panel, see [AnalysisPlan.WholePanel]
	RMAnova  Test = Test(method.RMAnova)
	Friedman Test = Test(method.Friedman)
	RankSum  Test = Test(method.RankSum) // Wilcoxon (1945); Mann & Whitney (1947)
)

// OfWholePanel reports whether the test compares all samples together.
func (t Test) OfWholePanel() bool { return t == MixedF || t == RMAnova || t == Friedman }

// Title is the test as a sentence names it.
func (t Test) Title() string { return method.ID(t).Title() }

// Sides is the alternative of the primary test.
type Sides string

// The sides. Greater and Less speak of the first sample of the comparison
// against the second.
const (
	TwoSided Sides = "two"
	Greater  Sides = "greater"
	Less     Sides = "less"
)

// Adjustment is how the p-values of the secondary comparisons are adjusted.
type Adjustment string

// The adjustments.
const (
	Holm         Adjustment = Adjustment(method.Holm)
	NoAdjustment Adjustment = "none"
)

// Spending is how much of alpha is spent by each look.
type Spending string

// The ways to spend.
const (
	SpendLate   Spending = "obrien-fleming" // almost nothing early; close to one look's bound at the end
	SpendEvenly Spending = "pocock"         // about as much at each look
)

// Evidence is how a plan counts evidence while people come.
type Evidence string

// The ways: by a t statistic, or by bets that need nothing but the ends of the scale.
const (
	ByMixture Evidence = "mixture"
	ByBetting Evidence = "betting"
)

// UndecidedRule is what becomes of answers that choose none of the servings. Without
// one, assessors have to choose.
type UndecidedRule string

// The rules.
const (
	DropUndecided  UndecidedRule = "drop"  // counted and shown; the test is of those who chose
	SplitUndecided UndecidedRule = "split" // half of them to each serving, an odd one to neither
)

// AnalysisPlan is what will be tested, fixed before the first rating. Every
// other comparison of two samples, and every other attribute, is secondary.
//
// A difference test compares its two samples by counting right answers (or
// choices), so that Sides and Alpha apply, with right answers Test (empty, or [Equivalence]),
// SmallestEffect, Beta and StopEarly too, and the rest is empty. A 2-AFC or
// 3-AFC test has Compare too: its first sample is the one expected to have more
// of the attribute.
type AnalysisPlan struct {
	Compare    [2]SampleID // the primary comparison: first minus second
	WholePanel bool        // all samples are compared together instead: are they all alike?
	EffectOf   Factor      // of crossed samples, in place of both: the effect that is compared; "" = none
	Levels     [2]string   // of the name or dish: the first minus the second; empty = all levels together
	Attribute  AttributeID // the primary attribute
	Liking     AttributeID // what answers about right are held against; "" where nothing is asked so
	Test       Test
	Sides      Sides
	Alpha      float64 // in (0, 0.5]
	// smallest difference worth acting on, scale points, or a share: see [QuestionKind.ShareAbove]; 0 = not stated
	SmallestEffect float64
	// Beta is the risk of calling two samples alike that just SmallestEffect of the people truly
	// tell apart, where the plan may come to that (see [AnalysisPlan.MayBeAlike]); else 0.
	Beta      float64
	StopEarly bool // answers are taken one by one until they decide: see [QuestionKind.Tells]
	// Looks are the numbers of people from which on a look is taken, at the end of a sitting, to
	// see whether tasting may end; rising. Empty: only one look, when tasting has ended.
	Looks    []int
	Spending Spending // how alpha is spread over looks; "" without any
	// Evidence is how evidence is counted after everybody, to see whether tasting may end; "" = it is not.
	Evidence Evidence
	// EvidenceAt is the mean over the standard deviation of differences at which evidence grows best;
	// 0 where none is counted.
	EvidenceAt   float64
	Undecided    UndecidedRule
	Expected     []SampleID // the order in which samples are expected, first place first; empty = none
	WantedRating *float64   // the rating whose amount is sought, in a study of amounts; nil = none
	Adjust       Adjustment // of the secondary comparisons
	StopAfter    int        // tasting ends when so many assessors have finished; 0 = every place
	StopBy       string     // last day of tasting, as in 2026-12-05; "" = none
}

// MayBeAlike reports whether a plan of right answers may come to that so few tell the samples
// apart that they pass for the same: where it asks just that, or takes answers one by one.
func (p AnalysisPlan) MayBeAlike() bool { return p.Test == Equivalence || p.StopEarly }

// LooksEarly reports whether a plan of ratings may end before everybody has tasted, at planned looks or
// by evidence.
func (p AnalysisPlan) LooksEarly() bool { return len(p.Looks) > 0 || p.Evidence != "" }

// ComparesTwo reports whether two samples are compared.
func (p AnalysisPlan) ComparesTwo() bool { return !p.WholePanel && p.EffectOf == "" }

// HasSides reports whether the primary test looks one way or both: a test of whether several
// are all alike has no direction.
func (p AnalysisPlan) HasSides() bool { return !p.WholePanel && p.Test != RMAnova }

// Level is the confidence level of the intervals, 1 − alpha.
func (p AnalysisPlan) Level() float64 { return 1 - p.Alpha }
