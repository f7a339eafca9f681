package analysis

import (
	"fmt"

	"cloche/internal/design"
	"cloche/internal/study"
)

// SizingOf is the question of size that a study asks, with the spread by the rule
// of thumb. Errors: [*SizingError], and those of [design.Weight].
func SizingOf(s *study.Study) (Sizing, error) {
	l, err := design.Weight(s)
	if err != nil {
		return Sizing{}, err
	}
	q := Sizing{
		Test: SizedTest(s.Plan.Test), Sides: s.Plan.Sides, Alpha: s.Plan.Alpha,
		Assessors: s.Panel.Assessors, Places: l.Places(), Block: l.Block, Replicates: max(1, s.Serving.Replicates),
	}
	if s.Question.IsDifferenceTest() {
		q.Test = SizedTest(s.Question)
		q.Each = Part{q.Replicates, 1}
		if !q.Test.IsChoice() {
			return q, &SizingError{"test", fmt.Sprintf("there is no size of a panel for a %s test yet", s.Question),
				"choose another question, or size the panel with the partner"}
		}
		return q, nil
	}
	a, ok := s.Attribute(s.Plan.Attribute)
	if !ok {
		return q, &SizingError{"test", "the study does not say which attribute decides", "write analysis.attribute"}
	}
	q.Difference, q.Length = s.Plan.SmallestEffect, a.Scale.Max()-a.Scale.Min()
	q.Spread = RuleOfThumb(q.Test, q.Length)
	part, of := l.Chance()
	q.Each = Part{part, of}
	if s.Serving.Design == study.One {
		q.Each = Part{1, len(s.Samples)}
	}
	return q, q.fits(s)
}

// fits checks that the test suits the design.
func (q Sizing) fits(s *study.Study) error {
	if q.Test.betweenGroups() == (s.Serving.Design == study.One) {
		return nil
	}
	if q.Test.betweenGroups() {
		return &SizingError{"test", fmt.Sprintf("the test %s compares groups, and here everybody tastes both samples", q.Test), "choose paired-t or signed-rank"}
	}
	return &SizingError{"test", fmt.Sprintf("the test %s needs both samples from each assessor, and serving.design is one", q.Test), "choose welch-t or rank-sum"}
}

// Time that tasting takes, in seconds: common practice, no source. The pause
// between servings is the study's own.
const (
	SecondsToRead   = 120 // welcome, allergens, consent, instructions; at each sitting
	SecondsToTaste  = 30  // each plate
	SecondsToAnswer = 15  // each question
)

// Cost is what a panel takes.
type Cost struct {
	Assessors int
	Dishes    []design.DishCount // portions of each, with warm-ups and references
	Portions  int                // of all dishes
	Spares    int                // codes kept ahead for dropped plates: as many portions more at most
	Plates    int                // each assessor's
	Minutes   float64            // of each assessor, over all sittings
	Attends   int                // sittings that each assessor attends
	Sittings  int                // in all, with the seats there are
}

// CostOf reckons what a study takes with a panel of n. Errors: those of
// [design.Weight].
func CostOf(s *study.Study, n int) (Cost, error) {
	l, err := design.Weight(s)
	if err != nil {
		return Cost{}, err
	}
	c := Cost{Assessors: n, Dishes: l.Portions(n), Plates: l.Plates(), Attends: l.Sittings, Sittings: l.SittingsFor(n, s.Panel.Seats)}
	for _, d := range c.Dishes {
		c.Portions += d.Portions
	}
	c.Spares = s.Serving.SpareCodes * c.Sittings
	questions := len(s.Attributes)*(l.Rated+l.Names) + boolToInt(s.Texts.Comment != "")*l.Rated
	if s.Question.IsDifferenceTest() {
		questions = max(l.Trials, boolToInt(l.Trials == 0)*l.Rated) // one answer a trial, or a serving of a series
	}
	seconds := SecondsToRead*l.Sittings + SecondsToTaste*l.Plates() + SecondsToAnswer*questions +
		s.Serving.RinseSeconds*(l.Plates()-l.Sittings)
	c.Minutes = float64(seconds) / 60
	return c, nil
}

func boolToInt(b bool) int {
	if b {
		return 1
	}
	return 0
}
