package analysis

import (
	"math"
	"sort"

	"cloche/internal/method"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// NextCode is what to do after a finding: a stable short word.
type NextCode string

// What to do next.
const (
	NextChange NextCode = "change" // act on it
	NextRepeat NextCode = "repeat" // taste again before deciding
	NextRest   NextCode = "rest"   // let it be
)

// Next is what to do after a finding.
type Next struct {
	Code NextCode
	// people by which a study that repeats this one is larger; 0 = no number can be given
	More int
	// that all its people settle it, in a study of its own, where they scatter as was found here;
	// 0 = none is stated, More is what a verdict takes at the least
	Chance float64
}

const (
	// settleChance is the chance for which the people to add are reckoned, as in the
	// planning of a study.
	settleChance = 0.8
	// mostTimes is how many times the people of a study are still worth asking for.
	// Beyond that the answer is close to what one would act on, or the scatter too
	// wide for a house of this size (a choice of ours).
	mostTimes = 10
	// fewestMore are the people for whom another evening is worth while (a choice of ours):
	// with more than it takes, the chance is only higher.
	fewestMore = 6
	// mostAsked is where looking for people ends.
	mostAsked = 10_000_000
	// zOfChance is the normal quantile of settleChance.
	zOfChance = 0.8416212335729143
)

// next is what follows from a verdict.
//
//	verdict              primary finding, smallest effect stated   not stated         sameness asked
//	too-few              repeat, up to what a verdict takes        the same           the same
//	different-act        change                                    –                  rest
//	different-small      rest                                      –                  –
//	different-size-open  repeat, until the size is known well      change             as open
//	alike                rest                                      –                  change
//	open                 repeat, until that effect is found        repeat, no number  repeat, until sameness is shown
//
// Who asks whether two samples are practically the same wants to put one in the place of
// the other: shown, that is the change; where they differ by the smallest effect or more,
// it rests, as it does when the estimate itself lies there.
//
// A size is known well when its interval reaches no farther than half of the smallest
// effect to either side. Where it is, and the smallest effect lies within it all the
// same, the estimate decides: change or rest. What would take more than ten times the
// people rests, with their number. A difference against the direction of a one-sided plan is repeated. A
// finding that is not primary never changes anything by itself: found, it is repeated as the main
// question of another study, else it rests.
func (f *Finding) next(plan study.AnalysisPlan) Next {
	v := f.Verdict
	switch {
	case v.Code == TooFew:
		return Next{Code: NextRepeat, More: f.missing(plan.Alpha)}
	case v.Sameness:
		return f.nextOnSameness(plan)
	case f.Role != Primary && !v.Different(), v.Code == DifferentSmall, v.Code == Alike:
		return Next{Code: NextRest}
	case f.Role != Primary, v.Against, v.Code == Open && v.Margin <= 0:
		return Next{Code: NextRepeat}
	case v.Code == DifferentAct, v.Margin <= 0:
		return Next{Code: NextChange}
	case v.Code == Open:
		return f.repeat(f.peopleToFind(plan))
	}
	if more := f.peopleToNarrow(v.Margin / 2); more != 0 {
		return f.repeat(more)
	}
	if math.Abs(f.Value-f.Choice.Chance) >= v.Margin {
		return Next{Code: NextChange}
	}
	return Next{Code: NextRest}
}

func (f *Finding) nextOnSameness(plan study.AnalysisPlan) Next {
	v := f.Verdict
	switch {
	case f.Choice.Told != nil && f.Choice.Told.Early != nil && v.Different():
		return Next{Code: NextRest}
	case v.Code == Alike:
		return Next{Code: NextChange}
	case v.Code == DifferentAct, math.Abs(f.Value-f.Choice.Chance) >= v.Margin:
		return Next{Code: NextRest}
	case f.Choice.Told != nil:
		return f.repeat(f.answersToShowAlike(plan))
	}
	return f.repeat(f.peopleToShowSameness(plan))
}

// repeat advises so many more people, and no fewer than [fewestMore], unless they are too
// many to ask for; less than 1 is no number.
func (f *Finding) repeat(more int) Next {
	switch {
	case more < 1:
		return Next{Code: NextRepeat}
	case more > mostTimes*f.N:
		return Next{NextRest, more, settleChance}
	}
	return Next{NextRepeat, max(more, fewestMore), settleChance}
}

// peopleToFind are the people to add so that the planned test finds the smallest effect
// with [settleChance], when differences scatter as the interval of this finding says, and
// on average over what that spread, a guess from few people, stands for (see [Finding.finds]);
// −1 when that cannot be told.
func (f *Finding) peopleToFind(plan study.AnalysisPlan) int {
	if f.Kind == KindChoice {
		return f.answersToFind(plan)
	}
	if f.Kind == KindRanking {
		return f.ordersToFind(plan)
	}
	if f.Kind == KindAboutRight { // how many would say so, and how they scatter, is a guess upon a guess
		return -1
	}
	if f.Kind == KindWords {
		return f.ticksToFind(plan)
	}
	d := size.TDesign{Effect: f.Verdict.Margin / f.spread(), Alpha: plan.Alpha, Alternative: sideOf(plan.Sides)}
	groups := 1
	if f.Kind == KindGroups { // equally large; the spread of an equal half is twice that of a rating
		groups, d.Independent, d.Effect = 2, true, 2*d.Effect
	}
	if plan.Sides == study.Less {
		d.Effect = -d.Effect
	}
	known, err := size.T(settleChance, d)
	if err != nil || known.N == 0 {
		return -1
	}
	side := plan.Alpha
	if plan.Sides == study.TwoSided {
		side /= 2
	}
	few := max(groups*known.N, f.N+1)
	enough := func(n int) bool { return f.finds(n, side) >= settleChance }
	most := few
	for !enough(most) {
		if most *= 2; most > mostAsked {
			return -1
		}
	}
	return few - f.N + sort.Search(most-few, func(more int) bool { return enough(few + more) })
}

// finds is how likely n people find the smallest effect at a level on one side, where the
// spread is known by its estimate s on m degrees of freedom alone: the power at σ, averaged
// over σ = s·√(m/χ²), which is P(T ≤ √n·effect/s) of the noncentral t distribution with m
// degrees of freedom and the critical value as noncentrality (Julious & Owen 2006, Pharm.
// Stat. 5:29, from memory). Few people whose answers happened to lie close would else be
// told that few more are enough.
func (f *Finding) finds(n int, side float64) float64 {
	critical := dist.TQuantile(1-side, f.df(n))
	return dist.NoncentralTCDF(math.Sqrt(float64(n))*f.Verdict.Margin/f.spread(), f.guessedOn(), critical)
}

// peopleToNarrow are the people to add so that the interval reaches no farther than
// half to either side with [settleChance]; 0 when it does so already, −1 when that
// cannot be told. The spread found in n people exceeds the true one by a share of
// z/√2n with that chance (normal approximation).
func (f *Finding) peopleToNarrow(half float64) int {
	if f.Kind == KindChoice {
		return f.answersToNarrow(half)
	}
	if f.Kind == KindAboutRight {
		return -1
	}
	sd := f.spread()
	if !(sd > 0 && half > 0) {
		return -1
	}
	if (f.CI.Hi-f.CI.Lo)/2 <= half {
		return 0
	}
	enough := func(n int) bool {
		t := dist.TQuantile((1+f.CI.Level)/2, f.df(n))
		upper := sd * (1 + zOfChance/math.Sqrt(2*float64(n)))
		return t*upper/math.Sqrt(float64(n)) <= half
	}
	most := f.N
	for !enough(most) {
		most *= 2
	}
	n := f.N + sort.Search(most-f.N, func(more int) bool { return enough(f.N + more) })
	return max(1, n-f.N)
}

// spread is the standard deviation that the interval of the finding goes with: that of
// the differences, or what takes its place between two equal groups, twice that of a
// rating.
func (f *Finding) spread() float64 { return f.standardError() * f.root() }

// standardError is that of the difference, by its interval.
func (f *Finding) standardError() float64 {
	if f.CI.Absent() || f.N < 2 {
		return math.NaN()
	}
	return (f.CI.Hi - f.CI.Lo) / 2 / dist.TQuantile((1+f.CI.Level)/2, f.guessedOn())
}

// guessedOn are the degrees of freedom of the spread.
func (f *Finding) guessedOn() float64 {
	switch {
	case f.Kind == KindGroups && f.Measure == method.MeanDifference && f.Test.DF > 0:
		return f.Test.DF
	case f.Measure == method.ModelDifference:
		return f.Pair.Model.DF2
	}
	return f.df(f.N)
}

// root is by what the spread of the finding is divided to give the standard error.
func (f *Finding) root() float64 {
	if f.Kind == KindGroups {
		return 2 / math.Sqrt(1/float64(f.Groups.Ns[0])+1/float64(f.Groups.Ns[1]))
	}
	return math.Sqrt(float64(f.N))
}

// df are the degrees of freedom with n people.
func (f *Finding) df(n int) float64 {
	if f.Kind == KindGroups {
		return float64(n - 2)
	}
	return float64(n - 1)
}

// missing are the people that a verdict takes beyond those there are.
func (f *Finding) missing(alpha float64) int {
	need := f.fewest(alpha)
	if f.Kind == KindGroups {
		return max(0, need-f.Groups.Ns[0]) + max(0, need-f.Groups.Ns[1])
	}
	return max(0, need-f.deciders())
}
