package datapackage

import (
	"cloche/internal/design"
	"cloche/internal/study"
)

// guesses has what assessors said to the question after their last plate. The first two
// columns are those that “cloche analyse --guesses” reads.
func (d Data) guesses() (table, error) {
	t := table{name: "guesses", title: "Answers to the question after the last plate, given before anything was told",
		fields: []field{assessorField,
			{name: "guess", kind: text, says: "Of which was which: the id of the sample that they took for the " +
				"first of the comparison or, where each got one, for theirs. Of plates of one dish: same or " +
				"different. “don't know” where they said that; missing where only words were asked for."},
			{name: "right", kind: yesNo, says: "Whether that is so; missing where they did not know, where nothing " +
				"was to be chosen, and where their plate is not known."},
			{name: "thought", kind: text, says: "What they think was compared, in their own words."},
			{name: "after_close", kind: yesNo, says: "Whether it arrived after the study was closed, and does not " +
				"count.", required: true},
			ratedField, byField},
		key: []string{"assessor"}}
	for _, a := range d.People {
		x := a.SaidLast
		if !x.Given() {
			continue
		}
		if err := t.add(a.Label(), string(x.Guess), d.guessedRight(a.Place, x.Guess), x.Thought, x.AfterClose, x.At,
			x.EnteredBy); err != nil {
			return t, err
		}
	}
	return t, nil
}

// guessedRight is whether a guess at a place is so; nil where that cannot be said.
func (d Data) guessedRight(place int, g study.Guess) any {
	if g == "" || g == study.GuessUnknown {
		return nil
	}
	var own study.SampleID
	for _, r := range d.Answers {
		if r.Place == place && r.Role == design.Rated {
			own = r.Sample
		}
	}
	right := d.Study.Spec.RightGuess(own)
	if right == "" {
		return nil
	}
	return g == right
}
