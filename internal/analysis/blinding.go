package analysis

import (
	"fmt"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dist"
	"cloche/internal/study"
)

// Guessed is what an assessor said to the last question, before anything was told.
type Guessed struct {
	Assessor string // label of the assessor
	Guess    study.Guess
	Thought  bool // said in words what they think was compared
}

// Warnings about the last question.
const (
	WarnGuessFollowsTaste = "guess-follows-taste" // more guessed right than guessing gives
	WarnFewGuesses        = "few-guesses"
	WarnNotAllGuessed     = "not-all-guessed" // somebody rated and did not answer it
)

// fewestGuesses are so few people, of each arm where there are two, that indices of blinding
// say little (our reading; their intervals are normal).
const fewestGuesses = 20

// Blinding says whether the blind held, by the guesses of those whose ratings count.
type Blinding struct {
	Asked                 study.LastQuestion
	N                     int // who answered
	Right, Wrong, Unknown int
	Thoughts              int            // who wrote what they think was compared
	Silent                int            // who rated and did not answer
	CI                    stats.Interval // of the share right, of those who guessed; exact
	// Test is that more of those who guessed are right than one in two, where each could choose
	// between two plates; its P is NaN elsewhere.
	Test Test
	// Arms are those of a study in which each assessor got one sample; nil elsewhere.
	Arms     []GuessedArm
	James    choice.JamesIndex // of both arms
	Warnings []Warning

	right map[string]bool // who guessed right
}

// GuessedArm are the guesses of those who got a sample.
type GuessedArm struct {
	Sample                study.SampleID
	Right, Wrong, Unknown int
	Bang                  choice.BangIndex
}

// Knew says what the guesses of an arm show: 1 that some knew, −1 that more took themselves
// to be in the other, 0 neither.
func (a GuessedArm) Knew() int {
	switch {
	case a.Bang.LowerOneSided > 0:
		return 1
	case a.Bang.UpperOneSided < 0:
		return -1
	}
	return 0
}

// Knew reports whether the guesses show that some could tell.
func (b *Blinding) Knew(alpha float64) bool {
	return b.Test.P < alpha || slices.ContainsFunc(b.Arms, func(a GuessedArm) bool { return a.Knew() > 0 })
}

// findBlinding compares what assessors guessed with what they tasted; nil where the study asks
// nothing, or nobody whose ratings count has answered.
func findBlinding(s *study.Study, ratings []Rating, said []Guessed) (*Blinding, error) {
	if s.Panel.LastQuestion == "" {
		return nil, nil
	}
	own := map[string]study.SampleID{}
	for _, r := range ratings {
		own[r.Assessor] = r.Sample
	}
	b := &Blinding{Asked: s.Panel.LastQuestion, CI: stats.NoInterval(s.Plan.Level()),
		Test: Test{Method: method.Binomial, Title: method.Binomial.Title(), Statistic: math.NaN(), DF: math.NaN(),
			DF2: math.NaN(), P: math.NaN(), PAdjusted: math.NaN()},
		James: choice.JamesIndex{Estimate: math.NaN(), SE: math.NaN(), CI: stats.NoInterval(s.Plan.Level())},
		right: map[string]bool{}}
	var guesses choice.Guesses
	for _, x := range said {
		sample, rated := own[x.Assessor]
		if !rated {
			continue
		}
		delete(own, x.Assessor)
		b.count(s, x, sample, &guesses)
	}
	b.Silent = len(own)
	if b.N == 0 {
		return nil, nil
	}
	if err := b.reckon(s, guesses); err != nil {
		return nil, fmt.Errorf("whether the blind held: %w", err)
	}
	b.remark(s)
	return b, nil
}

// count counts one answer.
func (b *Blinding) count(s *study.Study, x Guessed, own study.SampleID, guesses *choice.Guesses) {
	b.N++
	if x.Thought {
		b.Thoughts++
	}
	row := 2
	switch right := s.RightGuess(own); {
	case x.Guess == "" || right == "":
		return
	case x.Guess == study.GuessUnknown:
		b.Unknown++
	case x.Guess == right:
		b.Right++
		b.right[x.Assessor] = true
	default:
		b.Wrong++
	}
	if x.Guess != study.GuessUnknown {
		row = slices.Index(s.Plan.Compare[:], study.SampleID(x.Guess))
	}
	if arm := slices.Index(s.Plan.Compare[:], own); arm >= 0 && row >= 0 {
		guesses[row][arm]++
	}
}

// reckon fills what follows from the counts.
func (b *Blinding) reckon(s *study.Study, guesses choice.Guesses) error {
	said := b.Right + b.Wrong
	if said > 0 {
		b.CI = dist.ClopperPearson(b.Right, said, s.Plan.Level())
	}
	if b.Asked != study.AskWhich || said+b.Unknown == 0 {
		return nil
	}
	if s.Serving.Design != study.One {
		if said > 0 {
			b.Test.Statistic = float64(b.Right)
			b.Test.P = dist.BinomialPValue(b.Right, said, 0.5, stats.Greater)
		}
		return nil
	}
	r, err := choice.Blinding(guesses, s.Plan.Level())
	if err != nil {
		return err
	}
	b.James = r.James
	for k, id := range s.Plan.Compare {
		b.Arms = append(b.Arms, GuessedArm{id, guesses[k][k], guesses[1-k][k], guesses[2][k], r.Bang[k]})
	}
	return nil
}

func (b *Blinding) remark(s *study.Study) {
	add := func(code, text string) { b.Warnings = append(b.Warnings, Warning{code, text}) }
	if b.Silent > 0 {
		add(WarnNotAllGuessed, fmt.Sprintf("%d of the %d assessors with ratings did not answer the question after the "+
			"last plate; what they knew is not known", b.Silent, b.N+b.Silent))
	}
	if b.Asked == study.AskCompared {
		return
	}
	fewest := b.Right + b.Wrong + b.Unknown
	for _, a := range b.Arms {
		fewest = min(fewest, a.Bang.N)
	}
	if fewest < fewestGuesses {
		add(WarnFewGuesses, fmt.Sprintf("%d guesses are few: with fewer than %d, of each sample where each guest got "+
			"one, they say little about the blind", fewest, fewestGuesses))
	}
	if b.Knew(s.Plan.Alpha) {
		add(WarnGuessFollowsTaste, "guests may guess from what they tasted, so that a strong difference makes guesses "+
			"right by itself: more right guesses are no proof that knowing moved the ratings")
	}
}

// markGuesses notes the ratings of those who guessed right, without whom the primary finding
// is reckoned again.
func (p *panel) markGuesses(b *Blinding) {
	if b == nil {
		return
	}
	for i, who := range p.assessors {
		for _, c := range p.columns {
			for k := range c[i] {
				c[i][k].marks.set(guessedRight, b.right[who])
			}
		}
	}
}
