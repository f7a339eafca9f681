package panel

import "time"

// Stage is what an assessor's phone shows next.
type Stage int

// The stages of a ballot.
const (
	StageInstructions Stage = iota
	StageServing
	StageRinse
	StageDone
	StageClosed // the study was closed before the ballot was finished
)

// Welcome is what a person reads before consent. It has no field for dishes,
// names or the question.
type Welcome struct {
	Greeting  string
	Allergens []string // union over every dish, in full words
	Contains  []string // free-text notes beside them
	Alcohol   bool
	Consent   string
	Invented  bool
	Open      bool // false: not open, or closed
	Full      bool
}

// Ballot is what an assessor may know now. It has no field for dishes, sample
// ids, the question, the hypothesis or any later serving.
type Ballot struct {
	Stage        Stage
	Instructions string
	Serving      BallotServing // StageServing
	Rinse        time.Duration // StageRinse: what is left of the pause
	Next         int           // StageRinse: number of the serving that follows
	Of           int           // servings in all
	Thanks       string
	Debrief      string // only after close
	Allergens    []string
	Contains     []string
	Invented     bool
}

// BallotServing is the serving in front of the assessor.
type BallotServing struct {
	ID     string // random
	Number int    // from 1
	Code   string
	Name   string // "" when blind
	Asks   []Ask
}

// Ask is one attribute to rate. Field is its name on the form ("a1", "a2", …).
type Ask struct {
	Field    string
	Text     string
	Line     bool
	Low      string // line: word at the left end
	High     string
	From, To float64  // line: values at the ends
	Labels   []string // categories: from value 1
	Given    string   // what was typed, when a form comes back
	Problem  string   // what is wrong with it
}
