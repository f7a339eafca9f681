package panel

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// DryRun is what a study would find if the truth were known: nobody has tasted, all
// answers are simulated.
type DryRun struct {
	Spread analysis.Spread // that is assumed; none of an order
	None   Trial           // there is no effect
	// there is the smallest effect worth acting on; its Result is nil when the study states none
	Smallest Trial
}

// Trial is a study under one truth.
type Trial struct {
	Difference float64          // see [analysis.DryRun]
	Result     *analysis.Result // of one simulated study
	Often      analysis.Found   // how many of more such studies find what the plan looks for
	Computed   float64          // the same as a share, by the formula: alpha or power
}

// MayTry says why a study can never be tried as it is, whatever else is done to it, by a
// [NotYetError]; nil when it may be.
func MayTry(a *study.Study) error {
	switch {
	case !analysis.Invents(a.Question):
		return &NotYetError{"a dry run simulates ratings, orders, words and right answers, and this question is " +
			"answered in another way",
			"look at the rehearsal and at the balance of the plan instead"}
	case !analysis.SimulatesEffect(a):
		return &NotYetError{"this effect of names and dishes cannot be simulated yet, only that of two names or " +
			"two dishes",
			"look at the rehearsal and at the balance of the plan instead"}
	}
	return nil
}

// Try simulates a study. spread is that of an assessor's differences in points of
// the primary scale, the zero Spread for the rule of thumb; draw counts the draws of
// a study, whose id makes them its own. The plan that it serves is
// that of a rehearsal. A [NotYetError], a [design.Conflict] or an
// [analysis.SizingError] says why a study cannot be tried.
func Try(a *study.Study, id StudyID, spread analysis.Spread, draw int) (DryRun, error) {
	if err := MayTry(a); err != nil {
		return DryRun{}, err
	}
	if err := canRun(a); err != nil {
		return DryRun{}, err
	}
	studies := analysis.Simulable(a)
	if studies == 0 {
		return DryRun{}, &NotYetError{"the study is too large to be simulated while you wait",
			"look at its size instead, which says the power"}
	}
	if a.Question.Kind().Ascending {
		return tryThreshold(a, id, draw, studies)
	}
	sizing, err := analysis.SizingOf(a)
	if err != nil {
		return DryRun{}, err
	}
	if spread.SD > 0 {
		sizing.Spread = spread
	}
	size, err := analysis.FindSize(sizing)
	if err != nil {
		return DryRun{}, err
	}
	plan, err := RehearsalPlan(a, 0)
	if err != nil {
		return DryRun{}, err
	}
	d := analysis.DryRun{Study: a, Plan: plan, Spread: sizing.Spread.SD, Seed: drySeed(id, draw)}
	r := DryRun{Spread: sizing.Spread}
	none, smallest := computedShares(a, size)
	if r.None, err = trial(d, studies, none); err != nil {
		return DryRun{}, err
	}
	if d.Difference = a.Plan.SmallestEffect; d.Difference > 0 {
		r.Smallest, err = trial(d, studies, smallest)
	}
	return r, err
}

// computedShares are how many of the studies should find what they look for, where there is
// no effect and where there is the smallest worth acting on.
func computedShares(a *study.Study, size *analysis.Size) (none, smallest float64) {
	none, smallest = a.Plan.Alpha, size.Planned.Power
	if a.Question.Kind().OneDish { // where nothing is to be changed, a fifth have to say so, too
		return math.NaN(), smallest
	}
	if a.Question.Response() == study.TickWords { // the size is that of one word by itself
		return none, analysis.WordsTogetherPower(a)
	}
	if len(size.Early) > 0 {
		return size.Early[0].Different, size.Early[len(size.Early)-1].Different
	}
	if a.Plan.Test == study.Equivalence { // finds it where there is no difference
		if a.Question.Kind().Tells {
			none = a.Plan.Beta
		}
		return smallest, none
	}
	return none, smallest
}

// tryThreshold is [Try] of rising amounts: nobody tastes any, or half of the people do from
// the middle of the series on.
func tryThreshold(a *study.Study, id StudyID, draw, studies int) (r DryRun, err error) {
	plan, err := RehearsalPlan(a, 0)
	if err != nil {
		return DryRun{}, err
	}
	d := analysis.DryRun{Study: a, Plan: plan, Seed: drySeed(id, draw)}
	if r.None, err = trial(d, studies, a.Plan.Alpha); err != nil {
		return DryRun{}, err
	}
	d.Difference = analysis.MiddleOfSeries(a)
	r.Smallest, err = trial(d, studies, math.NaN())
	return r, err
}

// drySeed is the seed of a draw: the same for both truths, so that the same
// invented people rate under each.
func drySeed(id StudyID, draw int) uint64 {
	sum := sha256.Sum256(fmt.Appendf(nil, "dry run %d of %s", draw, id))
	return binary.BigEndian.Uint64(sum[:])
}

func trial(d analysis.DryRun, studies int, computed float64) (Trial, error) {
	t := Trial{Difference: d.Difference, Computed: computed}
	ratings, err := d.Ratings()
	if err != nil {
		return Trial{}, err
	}
	expected, err := d.Expected()
	if err != nil {
		return Trial{}, err
	}
	if t.Result, err = analysis.Analyse(d.Study, ratings, analysis.Options{Expected: expected,
		Lottery: &analysis.Lottery{Plan: d.Plan}}); err != nil {
		return Trial{}, fmt.Errorf("analyse simulated ratings: %w", err)
	}
	t.Often, err = d.Often(studies)
	return t, err
}
