package analysis

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// answering says whose job it is to answer a question. Each question has one, in a
// file of its own.
type answering struct {
	question study.Question
	find     finder        // nil: there is no way yet
	right    rightAnswer   // of questions that have right answers
	sized    *ChoiceSizing // nil: as ratings are, or there is no way yet
}

// finder adds to the result what the answers say: the findings, and on whom they rest.
type finder func(s *study.Study, answers []Rating, expected []Expectation, left *leftOut, r *Result) error

// rightAnswer reports whether what was answered in a turn is right.
type rightAnswer func(s *study.Study, t choiceTurn) bool

// Finds reports whether answers to a question can be analysed.
func Finds(q study.Question) bool {
	a, _ := answeringOf(q)
	return a.find != nil
}

func answeringOf(q study.Question) (answering, bool) {
	for _, a := range answerings {
		if a.question == q {
			return a, true
		}
	}
	return answering{}, false
}

// ChoiceSizing is how a panel is sized that chooses among servings: by an exact
// binomial test of the answers that count against those that chance would give.
type ChoiceSizing struct {
	Chance   float64 // share of the answers that count when nothing is tasted
	Above    float64 // the share looked for is above this
	Distance bool    // it can be asked for as a distance d′ instead
	NoShare  bool    // it can be asked for as a distance alone

	// Words.
	Who     string // after “a share of 30 %”
	Outcome string // after “so that 53 % of the answers”; "" where the share looked for is that
	Label   string // of the field for the share
	Hint    string

	said        saidModel                                       // what is said of turns, at a distance: see [saidSize]
	mixes       func(turns int) []size.SaidMix                  // of the kinds of turns a person gets
	ranked      bool                                            // by the order of several samples: see [rankingDesign]
	ticked      bool                                            // by words that are ticked: see [tickDesign]
	share       func(q Sizing) float64                          // of the answers that count, at what is looked for
	looked      func(counted float64) (share, distance float64) // the same the other way round
	assumptions []study.Said
}

// rightOrWrong sizes a question with right answers: who does not taste the difference
// guesses.
func rightOrWrong(p choice.Protocol) *ChoiceSizing {
	chance := p.Chance()
	return &ChoiceSizing{
		Chance: chance, Distance: true,
		Who: "who taste the difference", Outcome: "are right",
		Label: "Assessors who truly taste the difference",
		Hint:  "The smallest share that would matter to you, as in 0.3 for three of ten. The others guess.",
		share: func(q Sizing) float64 {
			if q.Distance > 0 {
				return p.PC(q.Distance)
			}
			return chance + q.Share*(1-chance)
		},
		looked: func(right float64) (share, distance float64) {
			distance, err := p.DPrime(right)
			return (right - chance) / (1 - chance), orNaN(distance, err)
		},
		assumptions: []study.Said{independentAnswers, study.Say("who does not taste the difference guesses, "+
			"right once in %s",
			oneIn(chance))},
	}
}

// SizedByDistance reports whether what is looked for is a distance d′ alone.
func (q Sizing) SizedByDistance() bool {
	c, ok := q.Test.Choice()
	return ok && c.NoShare
}

var independentAnswers = study.Say("answers are independent of each other")

// Choice is how the test is sized when it takes choices; not ok for tests of ratings.
func (t SizedTest) Choice() (c ChoiceSizing, ok bool) {
	a, _ := answeringOf(study.Question(t))
	if a.sized == nil {
		return ChoiceSizing{}, false
	}
	return *a.sized, true
}

// IsChoice reports whether the test takes choices, so that its size is asked by a
// share or a distance and not in scale points.
func (t SizedTest) IsChoice() bool {
	_, ok := t.Choice()
	return ok
}

// choiceSize is an exact binomial test of the answers that count against chance.
type choiceSize struct {
	q Sizing
	c ChoiceSizing
	d size.BinomialDesign
}

func newChoiceSize(q Sizing, c ChoiceSizing, side stats.Alternative) choiceSize {
	return choiceSize{q, c, size.BinomialDesign{P0: c.Chance, P1: c.share(q), Alpha: q.Alpha, Alternative: side}}
}

// sizeOfChoice is how a question is sized that takes choices, or says one of two things.
func sizeOfChoice(q Sizing, c ChoiceSizing, side stats.Alternative) sizeMethod {
	switch {
	case c.said != nil:
		return newSaidSize(q, c)
	case q.Alike:
		return alikeSize{q, c}
	}
	return newChoiceSize(q, c, side)
}

func (m choiceSize) effect() float64 {
	if !m.q.stated() {
		return math.NaN()
	}
	return m.d.P1
}

func (m choiceSize) fewest() int {
	tail := m.q.Alpha
	if m.d.Alternative == stats.TwoSided {
		tail /= 2
	}
	n := 1
	for chance := m.d.P0; chance > tail; n++ {
		chance *= m.d.P0
	}
	return n
}

func (m choiceSize) power(n int) float64 {
	p, err := size.PowerBinomial(n, m.d)
	return orNaN(p.Power, err)
}

func (m choiceSize) needed() (first, safe int) {
	s, _ := size.Binomial(m.q.Power, 0, m.d)
	return s.First.N, s.Stable.N
}

func (m choiceSize) detects(n int) (share, distance float64) {
	counted, err := size.DetectableShare(n, m.q.Power, m.d)
	if err != nil || math.IsNaN(counted) {
		return math.NaN(), math.NaN()
	}
	return m.c.looked(counted)
}

func (m choiceSize) assumptions() []study.Said { return m.c.assumptions }

func oneIn(chance float64) study.Said {
	if chance == 0.5 {
		return study.Say("two")
	}
	return study.Say("three")
}
