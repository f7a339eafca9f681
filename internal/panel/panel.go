package panel

import (
	"time"

	"cloche/internal/design"
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
	ID       StudyID // random
	File     string  // the study file as it was written
	Spec     *study.Study
	Problems []study.Problem // mistakes of a draft's file; Asked holds what could be read
	State    State
	Created  time.Time
	Lock     Lock
	ClosedAt time.Time // zero until closed

	LastCallAt time.Time // zero until it was announced that tasting ends soon
	ClosingAt  time.Time // zero until nothing more was to go out; see [Study.Ending]

	Revision         int // of the draft: goes up with every change, from 1
	CanUndo, CanRedo bool

	Series        StudyID // id of the first version
	Version       int     // from 1
	Amends        StudyID // id of the version before; "" for the first
	Reason        string  // why that was amended
	RatingsBefore int     // servings of the version before that had their answers when it was amended

	Countersigned Countersign
	ArchivedAt    time.Time // zero unless put away
	ExportedAt    time.Time // zero when something has changed since the last export
	ForgottenAt   time.Time // zero until what could tell who a guest was is deleted; see [Service.ForgetGuests]
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

// Spare is a blinding code that was drawn with the plan for a dropped plate.
type Spare struct {
	Sitting int // from 1
	Order   int // from 0, in the order in which they are taken
	Code    design.Code
}

// Sitting is one occasion on which assessors taste.
type Sitting struct {
	ID       SittingID // random
	StudyID  StudyID
	Number   int       // from 1
	Join     JoinToken // token of the join link
	OpenedAt time.Time // zero while it is prepared
	AskWord  bool      // everybody who joins says the word of the evening
	Released int       // the last wave that may go out; 0 = each plate goes out as its guest is ready
	Declined int       // people who said no
	Look     Look      // the planned look that was taken at its end
}

// Assessor is a seated assessor. Token is the unguessable part of the personal
// link; only its SHA-256 is stored, so it is empty on what the store returns.
type Assessor struct {
	ID         AssessorID // random
	StudyID    StudyID
	SittingID  SittingID
	Place      int // from 0
	JoinedAt   time.Time
	StartedAt  time.Time // zero until the instructions were read
	FinishedAt time.Time // zero until the last turn with a plate was answered; withdrawing leaves it

	Phone       bool      // tastes with a phone of their own
	Seat        string    // where they sit, in the floor's words; "" = not noted
	Table       int       // where they sit; 0 = not known
	TableSeat   int       // at the table, from 1
	Alike       bool      // on being seated: to taste what the others at the table do; it is not kept
	LeftAt      time.Time // zero unless the guest left early
	LeftSelf    bool      // left by their own wish, said on the phone
	WithdrawnAt time.Time // zero unless they took their answers out
	RestedAt    time.Time // when a rinse is over that floor cut short, or that began without network
	Language    string    // BCP 47, in which they gave their consent on a phone; "" when there was no choice

	Screening []ScreenAnswer // in the order of the questions; empty until they were answered
	SaidLast  SaidLast
}

// Label is the assessor's name in keys and exports: the place, from 1.
func (a Assessor) Label() int { return a.Place + 1 }

// Measured is a temperature that the kitchen measured.
type Measured struct {
	ID        int64 // counts up
	Corrects  int64 // the entry in whose place it stands; 0 = none
	SittingID SittingID
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
	StudyID StudyID // "" for events of the service
	Who     string  // role, and label where there is one
	What    string  // stable short word, e.g. "locked"
	Detail  string  // never a sample, never a secret
	ActID   string  // id of the act that it logs, which a phone may send again; "" = none
}
