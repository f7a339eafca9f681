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
	Language  string   // BCP 47, of all these words
	Languages []string // to choose from
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
	Language     string   // BCP 47, of all these words
	Languages    []string // to choose from
}

// BallotServing is the serving in front of the assessor.
type BallotServing struct {
	ID     string // random
	Number int    // from 1
	Code   string
	Name   string // "" when blind
	Asks   []Ask
}

// Problem is what is wrong with an answer. It is a stable word: pages say it in
// the assessor's language.
type Problem string

// The problems.
const (
	NoMark   Problem = "no mark"      // nothing given on a line
	NoChoice Problem = "no choice"    // no category chosen
	OffLine  Problem = "off the line" // no number, or none from From to To
	OffList  Problem = "off the list" // none of the categories
)

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
	Problem  Problem  // what is wrong with it; "" = nothing
}
