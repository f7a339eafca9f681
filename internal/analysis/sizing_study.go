package analysis

import (
	"cloche/internal/design"
	"cloche/internal/study"
)

// SizingOf is the question of size that a study asks, with the spread by the rule
// of thumb. Errors: [*SizingError], and those of [design.Weight].
func SizingOf(s *study.Study) (Sizing, error) {
	if s.Question.CollectsRatings() {
		return SizingBy(s, sizedAs(s))
	}
	return SizingBy(s, SizedTest(s.Question))
}

// SizingBy is [SizingOf] with another test than that of the study.
func SizingBy(s *study.Study, test SizedTest) (Sizing, error) {
	l, err := design.Weight(s)
	if err != nil {
		return Sizing{}, err
	}
	q := Sizing{
		Test: test, Sides: s.Plan.Sides, Alpha: s.Plan.Alpha,
		Assessors: s.Panel.Assessors, Places: l.Places(), Block: l.Block, Replicates: max(1, s.Serving.Replicates),
		Samples: len(s.Samples),
	}
	if err := q.fits(s); err != nil {
		return q, err
	}
	if test.IsChoice() {
		q.Each = Part{q.Replicates, 1}
		if s.Question.Kind().StatesShare() {
			q.Share = s.Plan.SmallestEffect
		}
		q.StopEarly = s.Plan.StopEarly
		q.Alike, q.Beta = s.Plan.Test == study.Equivalence, s.Plan.Beta
		if list, ok := s.Words(); ok {
			q.Words = len(list.Scale.Labels)
		}
		return q, nil
	}
	a, ok := s.Attribute(s.Plan.Attribute)
	if !ok {
		return q, &SizingError{"test", study.Say("the study does not say which attribute decides"),
			study.Say("write analysis.attribute")}
	}
	q.Difference, q.Length = s.Plan.SmallestEffect, a.Scale.Max()-a.Scale.Min()
	q.Spread = RuleOfThumb(q.Test, q.Length)
	part, of := l.Chance()
	q.Each = Part{part, of}
	if s.Serving.Design == study.One {
		q.Each, q.Strata = Part{1, len(s.Samples)}, s.Serving.Combinations()
	}
	if q.Test.OfAmounts() {
		q.ofAmounts(s)
		return q, nil
	}
	if s.Question.Kind().OneDish {
		q.ofOneDish(s)
		return q, nil
	}
	if a.Scale.IsOrdinal() {
		q.Labels = len(a.Scale.Labels)
	}
	if p := s.Plan; p.LooksEarly() {
		q.Looking = SizedLooking{p.Looks, p.Spending, p.Evidence, p.EvidenceAt, p.StopAfter}
	}
	q.ofWay(s)
	q.AboutRight = sizedAboutRight(s)
	q.severalSamples(s, l)
	q.ofCrossed(s)
	return q, nil
}

// SizingWithout is the question of size when there is no study: of two samples.
func SizingWithout(test SizedTest) Sizing {
	q := Sizing{Test: test, Block: 2} // of the two orders of two samples
	if test.byModel() {
		q.Block = 1
		return q
	}
	if !test.IsChoice() {
		return q
	}
	bare := &study.Study{Question: study.Question(test), Samples: []study.Sample{{ID: "A"}, {ID: "B"}}}
	if l, err := design.Weight(bare); err == nil {
		q.Block = l.Block
	}
	return q
}

// fits checks that the test suits the question and the design.
func (q Sizing) fits(s *study.Study) error {
	if !s.Question.CollectsRatings() {
		if q.Test == SizedTest(s.Question) && q.Test.IsChoice() {
			return nil
		}
		if q.Test != SizedTest(s.Question) {
			return &SizingError{"test", study.Say("the study asks a %s question and has no use for the test %s",
				s.Question, q.Test), study.Say("leave the test out")}
		}
		return &SizingError{"test", study.Say("there is no way yet to size the panel of the question %s", s.Question),
			study.Say("choose another question, or size the panel with the partner")}
	}
	if amounts := s.Question.Kind().Amounts; amounts || q.Test.OfAmounts() {
		if amounts && q.Test == sizedAs(s) {
			return nil
		}
		return &SizingError{"test", study.Say("the test %s is not of a %s study", q.Test, s.Question),
			study.Say("leave the test out")}
	}
	if s.Question.Kind().OneDish {
		if q.Test == sizedAs(s) {
			return nil
		}
		return &SizingError{"test", study.Say("the test %s compares samples, and the study is of one dish", q.Test),
			study.Say("leave the test out")}
	}
	one := s.Serving.Design == study.One
	if err := q.fitsEffect(s); err != nil {
		return err
	}
	switch {
	case q.Test.byModel():
		return q.fitsModel(s)
	case q.Test.IsChoice():
		return &SizingError{"test", study.Say("the study asks for ratings, and a %s test takes choices", q.Test),
			study.Say("choose a test of ratings")}
	case q.Test.betweenGroups() && !one:
		return &SizingError{"test", study.Say("the test %s compares groups, and here assessors taste more than "+
			"one sample", q.Test), study.Say("choose paired-t, signed-rank or equivalence")}
	case !q.Test.betweenGroups() && one:
		return &SizingError{"test", study.Say("the test %s needs both samples from each assessor, and "+
			"serving.design is one", q.Test), study.Say("choose welch-t, rank-sum or equivalence-welch")}
	}
	return nil
}

// Time that tasting takes, in seconds: common practice, no source. The pause
// between servings is the study's own.
const (
	SecondsToRead   = 120 // welcome, allergens, consent, instructions; at each sitting
	SecondsToTaste  = 30  // each plate
	SecondsToAnswer = 15  // each question
	SecondsToTick   = 2   // each word of a list, beside that
)

// Cost is what a panel takes.
type Cost struct {
	Assessors int                `json:"-"`
	Dishes    []design.DishCount `json:"dishes"`   // portions of each, with warm-ups and references
	Portions  int                `json:"portions"` // of all dishes
	// codes kept ahead for dropped plates: as many portions more at most
	Spares int `json:"spares"`
	Plates int `json:"plates_each"` // each assessor's
	// of each assessor, over all sittings, rounded up: what everybody is told
	Minutes  int `json:"minutes_each"`
	Attends  int `json:"-"`        // sittings that each assessor attends
	Sittings int `json:"sittings"` // in all, with the seats there are
}

// CostOf reckons what a study takes with a panel of n. Errors: those of
// [design.Weight].
func CostOf(s *study.Study, n int) (Cost, error) {
	l, err := design.Weight(s)
	if err != nil {
		return Cost{}, err
	}
	c := Cost{Assessors: n, Dishes: l.Portions(n), Plates: l.Plates(), Attends: l.Sittings,
		Sittings: l.SittingsFor(n, s.Panel.Seats)}
	for _, d := range c.Dishes {
		c.Portions += d.Portions
	}
	c.Spares = s.Serving.SpareCodes * c.Sittings
	questions := len(s.Attributes)*(l.Rated+l.Names) + boolToInt(s.Texts.Comment != "")*l.Rated
	if !s.Question.OneByOne() {
		questions = l.Turns // one answer each
	}
	list, _ := s.Words()
	seconds := SecondsToRead*l.Sittings + SecondsToTaste*l.Plates() + SecondsToAnswer*questions +
		SecondsToTick*len(list.Scale.Ticks)*l.Rated +
		s.Serving.RinseSeconds*(l.Plates()-l.Sittings)
	c.Minutes = (seconds + 59) / 60
	return c, nil
}

func boolToInt(b bool) int {
	if b {
		return 1
	}
	return 0
}
