package panel

import (
	"time"

	"cloche/internal/study"
)

// State is where a study stands. The zero value is a draft.
type State int

// The states, in the order in which a study passes through them.
const (
	Draft State = iota
	Locked
	Open
	Closed
)

// String gives the state's word.
func (s State) String() string {
	return [...]string{"draft", "locked", "open", "closed"}[s]
}

// Study is a study on this service.
type Study struct {
	ID       string // random
	File     string // the study file as it was written
	Asked    *study.Study
	Problems []study.Problem // mistakes of a draft's file; Asked holds what could be read
	State    State
	Created  time.Time
	Lock     Lock
	ClosedAt time.Time // zero until closed

	Revision         int // of the draft: goes up with every change, from 1
	CanUndo, CanRedo bool

	Series        string // id of the first version
	Version       int    // from 1
	Amends        string // id of the version before; "" for the first
	Reason        string // why that was amended
	RatingsBefore int    // servings of the version before that had their answers when it was amended

	Countersigned Countersign
	ArchivedAt    time.Time // zero unless put away
	ExportedAt    time.Time // zero when something has changed since the last export
}

// Countersign is what the partner put a name to; zero until then.
type Countersign struct {
	At        time.Time
	Name      string
	StudyHash string
	PlanHash  string
}

// Photo is a picture of a dish.
type Photo struct {
	Dish study.DishID
	JPEG []byte
}

// Lock is what was fixed before the first rating; zero until the study is locked.
type Lock struct {
	At        time.Time
	Seed      uint64
	Engine    int    // version of the design engine
	StudyHash string // SHA-256 of the study's canonical form
	PlanHash  string // SHA-256 of the serving plan's canonical form
}

// Serving is one serving of the locked plan as it is kept.
type Serving struct {
	ID       string // random: what the wire calls it
	StudyID  string
	Place    int // assessor's place in the plan, from 0
	Order    int // from 0, in the order in which the assessor gets them
	Sitting  int // from 1
	Position int // from 1 among rated servings; 0 for a warm-up, a reference or a name that is read
	Rated    bool
	Sample   study.SampleID
	Code     string // blinding code; "" for a name that is read

	ServedAt   time.Time // zero until floor set it down
	RefusedAt  time.Time // zero unless the guest did not want it
	RevealedAt time.Time // zero unless the blind was broken for it
}

// IsRead reports whether the serving is a name that is read before any tasting.
// Nothing is served, so it carries no code; what the assessor expects is kept as
// its answers.
func (v Serving) IsRead() bool { return v.Code == "" }

// Spare is a blinding code that was drawn with the plan for a dropped plate.
type Spare struct {
	Sitting int // from 1
	Order   int // from 0, in the order in which they are taken
	Code    string
}

// Sitting is one occasion on which assessors taste.
type Sitting struct {
	ID       string // random
	StudyID  string
	Number   int       // from 1
	Join     string    // token of the join link
	OpenedAt time.Time // zero while it is prepared
	AskWord  bool      // everybody who joins says the word of the evening
	Declined int       // people who said no
}

// Assessor is a seated assessor. Token is the unguessable part of the personal
// link; only its SHA-256 is stored, so it is empty on what the store returns.
type Assessor struct {
	ID         string // random
	StudyID    string
	SittingID  string
	Place      int // from 0
	JoinedAt   time.Time
	StartedAt  time.Time // zero until the instructions were read
	FinishedAt time.Time // zero until the last serving was rated

	Phone       bool      // tastes with a phone of their own
	Seat        string    // where they sit, in the floor's words; "" = not noted
	LeftAt      time.Time // zero unless the guest left early
	LeftSelf    bool      // left by their own wish, said on the phone
	WithdrawnAt time.Time // zero unless they took their answers out
	RestedAt    time.Time // when a rinse is over that floor cut short, or that began without network
	Language    string    // BCP 47, in which they gave their consent on a phone; "" when there was no choice

	Screening []ScreenAnswer // in the order of the questions; empty until they were answered
}

// Label is the assessor's name in keys and exports: the place, from 1.
func (a Assessor) Label() int { return a.Place + 1 }

// Answered is one rating as it is kept.
type Answered struct {
	ServingID string
	Attribute study.AttributeID
	Value     float64
	At        time.Time
}

// Rated is a rating joined with its serving, for analysis after close.
type Rated struct {
	Place     int
	Position  int    // from 1; 0 for a warm-up, a reference or a name that was read
	Code      string // "" for what was expected of a name that was read
	Sample    study.SampleID
	Attribute study.AttributeID
	Value     float64
	At        time.Time
	EnteredBy string // who of the staff typed it; "" = the assessor
	Revealed  bool   // the blind was broken for the serving

	NotSetDown bool // floor did not note that a plate was set down
}

// RatedServing is a serving that has its answers.
type RatedServing struct {
	ServingID  string
	AssessorID string
	Seq        int // the phone's count of its submissions; 0 = not counted
	At         time.Time
	EnteredBy  string // who of the staff typed them; "" = the assessor
	Comment    string
}

// Replaced is a set of answers that does not count: a correction replaced it, or
// it arrived after its correction or after the close.
type Replaced struct {
	ServingID  string
	AfterClose bool
	Seq        int
	EnteredBy  string
	Comment    string
	At         time.Time // when they arrived
	ReplacedAt time.Time
	Answers    []Answered // by attribute
}

// Measured is a temperature that the kitchen measured.
type Measured struct {
	ID        int64 // counts up
	Corrects  int64 // the entry in whose place it stands; 0 = none
	SittingID string
	Wave      int // from 1
	Dish      study.DishID
	Celsius   float64
	At        time.Time
	Who       string
}

// Progress is how much there is of a study: counts only. Where seats stand while
// it runs is a [Tally].
type Progress struct {
	Places   int // in the plan
	Joined   int // consented
	Servings int // rated so far, over all assessors
}

// Event is an entry of the append-only log.
type Event struct {
	At      time.Time
	StudyID string // "" for events of the service
	Who     string // role, and label where there is one
	What    string // stable short word, e.g. "locked"
	Detail  string // never a sample, never a secret
	Once    string // id of the act that it logs, which a phone may send again; "" = none
}
