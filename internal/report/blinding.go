package report

import (
	"fmt"

	"cloche/internal/analysis"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// blindingTable tells whether the blind held, by what guests said after their last plate.
func blindingTable(s *study.Study, b *analysis.Blinding) NumberTable {
	t := NumberTable{Title: "Did the blind hold?", Said: spoken(English, blindingSaid(s, b))}
	switch {
	case len(b.Arms) > 0:
		t.Headings = []string{"Who tasted", "Right", "Wrong", "Did not know", "Index of blinding",
			percent(s.Plan.Level()) + " interval"}
		for _, a := range b.Arms {
			t.Rows = append(t.Rows, []string{analysis.Label(s, a.Sample), fmt.Sprint(a.Right), fmt.Sprint(a.Wrong),
				fmt.Sprint(a.Unknown), number(a.Bang.Estimate, 2), interval(a.Bang.CI, 2)})
		}
		t.Below = append(t.Below, fmt.Sprintf("Index of each sample (Bang, Ni & Davis 2004): the share right "+
			"less the "+
			"share wrong; 0 is guessing, 1 that all know. Both together (James et al. 1996): %s, interval %s; 1 is "+
			"that nobody knows, 0.5 guessing at random, 0 that all know, and “I don’t know” raises it.",
			number(b.James.Estimate, 2), interval(b.James.CI, 2)))
	case b.Asked == study.AskCompared:
		t.Headings, t.Rows = []string{"What", "Guests"}, [][]string{{"Answered the question", fmt.Sprint(b.N)},
			{"Wrote what they think was compared", fmt.Sprint(b.Thoughts)}}
	default:
		of := b.Right + b.Wrong + b.Unknown
		t.Headings = []string{"Guess", "Guests", "Share"}
		for _, x := range []struct {
			what string
			n    int
		}{{"Right", b.Right}, {"Wrong", b.Wrong}, {"Did not know", b.Unknown}} {
			t.Rows = append(t.Rows, []string{x.what, fmt.Sprint(x.n), shareWords(float64(x.n) / float64(of))})
		}
	}
	if b.Test.P == b.Test.P { // not NaN
		t.Below = append(t.Below, fmt.Sprintf("Of the %d who guessed, %s were right (interval %s). In numbers: %s "+
			"against one in two, one-sided; %s.", b.Right+b.Wrong,
			shareWords(float64(b.Right)/float64(b.Right+b.Wrong)), sharesOf(b.CI), b.Test.Title, pPhrase(b.Test.P)))
	}
	if b.Thoughts > 0 && b.Asked != study.AskCompared {
		t.Below = append(t.Below, fmt.Sprintf("%s wrote what they think was compared: guesses.csv of the data "+
			"package.",
			people(b.Thoughts)))
	}
	return t
}

// blindingSaid says in words what the guesses show, and what they do not.
func blindingSaid(s *study.Study, b *analysis.Blinding) []study.Said {
	switch b.Asked {
	case study.AskCompared:
		return []study.Said{study.Say("Asked after the last plate what was compared: %s; %d wrote something. "+
			"Read it: a blind that did not hold shows there.", people(b.N), b.Thoughts)}
	case study.AskSame:
		return append([]study.Said{sameSaid(s, b)}, againSaid(b)...)
	case study.AskWhich:
	}
	if len(b.Arms) > 0 {
		var said []study.Said
		for _, a := range b.Arms {
			said = append(said, armSaid(s, a))
		}
		return append(append(said, cautionSaid(s, b)...), againSaid(b)...)
	}
	said := []study.Said{study.Say("Of %s, %d pointed to the right plate, %d to the other one, and %d did not know.",
		people(b.Right+b.Wrong+b.Unknown), b.Right, b.Wrong, b.Unknown)}
	switch {
	case b.Right+b.Wrong == 0:
		said = append(said, study.Say("Nobody said that they knew."))
	case b.Knew(s.Plan.Alpha):
		said = append(said, study.Say("That is more than guessing gives: some could tell which was which."))
	default:
		said = append(said, study.Say("Guessing gives as much: it was not shown that anybody could tell."))
	}
	return append(append(said, cautionSaid(s, b)...), againSaid(b)...)
}

// sameSaid is of a dish that was served twice, or of two: nothing says how many would guess so
// who notice nothing.
func sameSaid(s *study.Study, b *analysis.Blinding) study.Said {
	was, other := study.Say("the same dish, as they were"), study.Say("different dishes")
	if s.RightGuess("") == study.GuessDifferent {
		was, other = study.Say("different dishes, as they were"), study.Say("the same dish")
	}
	return study.Say("Of %s, %d said that their plates were %s, %d said %s, and %d did not know. How many say so "+
		"who notice nothing is not known, so these are shares and no test.", people(b.Right+b.Wrong+b.Unknown),
		b.Right,
		was, b.Wrong, other, b.Unknown)
}

func armSaid(s *study.Study, a analysis.GuessedArm) study.Said {
	found := study.Say("no more than guessing gives")
	switch a.Knew() {
	case 1:
		found = study.Say("some knew")
	case -1:
		found = study.Say("more took it for the other")
	}
	return study.Say("Of %s who tasted %s, %d guessed right, %d wrong, and %d did not know: %s.", people(a.Bang.N),
		analysis.LabelSaid(s, a.Sample), a.Right, a.Wrong, a.Unknown, found)
}

func cautionSaid(s *study.Study, b *analysis.Blinding) []study.Said {
	if !b.Knew(s.Plan.Alpha) {
		return nil
	}
	return []study.Said{study.Say("A right guess may come from tasting the difference, not from being told: it " +
		"is no proof " +
		"that the ratings are biased.")}
}

func againSaid(b *analysis.Blinding) []study.Said {
	if b.Right == 0 {
		return nil
	}
	return []study.Said{study.Say("Under “How sure” the answer stands again without those who guessed right, as " +
		"far as " +
		"enough people are left.")}
}

// blindingWire is what was said after the last plate, in the findings as JSON.
type blindingWire struct {
	Asked    study.LastQuestion `json:"asked"`
	N        int                `json:"n"`
	Right    int                `json:"right"`
	Wrong    int                `json:"wrong"`
	Unknown  int                `json:"not_known"`
	Thoughts int                `json:"in_words"`
	Silent   int                `json:"not_answered"`
	RightCI  [2]value           `json:"right_of_guesses_ci"` // of the share right of those who guessed
	Test     *testWire          `json:"test,omitempty"`      // only of a plate that was pointed to
	Arms     []guessedArmWire   `json:"arms,omitempty"`      // only where each assessor got one sample
	James    *indexWire         `json:"james,omitempty"`     // likewise
	Warnings []warningWire      `json:"warnings"`
}

type guessedArmWire struct {
	Sample  study.SampleID `json:"sample"`
	Right   int            `json:"right"`
	Wrong   int            `json:"wrong"`
	Unknown int            `json:"not_known"`
	Bang    indexWire      `json:"bang"`
}

type indexWire struct {
	Value value    `json:"value"`
	CI    [2]value `json:"ci"`
}

func indexToWire(v float64, ci stats.Interval) indexWire { return indexWire{value(v), ends(ci)} }

func blindingToWire(b *analysis.Blinding) *blindingWire {
	if b == nil {
		return nil
	}
	w := &blindingWire{Asked: b.Asked, N: b.N, Right: b.Right, Wrong: b.Wrong, Unknown: b.Unknown,
		Thoughts: b.Thoughts,
		Silent:   b.Silent, RightCI: ends(b.CI), Warnings: warningsToWire(b.Warnings)}
	if b.Test.P == b.Test.P { // not NaN
		test := testToWire(b.Test)
		w.Test = &test
	}
	for _, a := range b.Arms {
		w.Arms = append(w.Arms, guessedArmWire{a.Sample, a.Right, a.Wrong, a.Unknown,
			indexToWire(a.Bang.Estimate, a.Bang.CI)})
	}
	if len(b.Arms) > 0 {
		james := indexToWire(b.James.Estimate, b.James.CI)
		w.James = &james
	}
	return w
}
