package panel

import (
	"time"

	"cloche/internal/design"
	"cloche/internal/study"
)

// FloorSeat is what floor may know of an assessor at their sitting: where they
// sit, how far they are, and the turn that comes next. It has no field for
// dishes, sample ids, answers or any later turn.
type FloorSeat struct {
	ID    AssessorID // random
	Label int        // number of the assessor, from 1
	Seat  string     // where they sit, in the floor's words; "" = not noted
	Table int        // 0 = not known
	// TableSeat is the seat there, from 1; 0 = not known.
	TableSeat int
	Tongue    string // the language that they read, BCP 47; "" = the study has one, or no phone said
	Language  string // of the names that they are told and the questions that they are asked, BCP 47
	Free      bool   // never tasted: the place can be freed
	Phone     bool   // tastes with a phone of their own, or the house's tablet
	Lent      bool   // the house's tablet shows their ballot
	Returns   bool   // joined at an earlier sitting
	State     SeatState
	Else      SeatState     // SeatLeft: where they would stand if they were back; "" otherwise
	Self      bool          // SeatLeft: by their own wish
	Over      int           // servings of this sitting that are over
	Of        int           // servings of this sitting
	Waiting   time.Duration // SeatWaiting and SeatTasting: since this turn could begin
	Rinse     time.Duration // SeatRinsing: what is left
	Next      FloorTurn     // SeatWaiting and SeatTasting; its ID is empty otherwise
	Reads     FloorName     // SeatReading; its ID is empty otherwise
	Passes    time.Duration // SeatWaiting: for how long its plate has stood at the pass; 0 = it does not
	Late      bool          // SeatWaiting: that is longer than a plate may wait there
	Held      int           // SeatWaiting: the wave for which its plate is held back; 0 = it is not
	With      string        // SeatWaiting: who else of the floor has the plate in the hand; "" = nobody
	Rated     FloorRated    // what was rated last, or no ID
	Asks      bool          // SeatFinished: the last question is still to be answered
	Before    FloorRefused  // what was refused or skipped just before, while that can be taken back, or no ID
}

// FloorName is the name that a seat reads now, without its words: floor sees those
// when it enters what the guest expects.
type FloorName struct {
	ID         TurnID
	Number, Of int // from 1
}

// FloorRefused is what the guest did not want just before, or a name that was skipped:
// its name is nobody's business any more.
type FloorRefused struct {
	ID     TurnID
	Number int        // from 1
	Code   PlateCodes // "" for a name
}

// FloorRated is what a guest rated last. Its name is nobody's business any more.
type FloorRated struct {
	ID        TurnID
	Number    int // from 1
	Code      PlateCodes
	Incidents []Incident
}

// FloorTurn is what is taken to a seat at once: a plate, or a tray of several.
type FloorTurn struct {
	ID        TurnID
	Number    int // from 1, within the sitting
	Response  study.Response
	Code      PlateCodes
	Language  string       // of the names, BCP 47
	Plates    []FloorPlate // in the order in which they stand before the guest
	Gate      int          // codes that have to be typed before its questions appear; 0 = it is open
	Served    bool         // all of it is on the table
	ServedAt  time.Time    // zero before
	Incidents []Incident   // what went wrong with it
}

// FloorPlate is one plate to take to a seat.
type FloorPlate struct {
	ID     ServingID
	Code   design.Code
	Name   string      // to say, exactly as the study words it; "" when blind
	Known  bool        // the reference with which the others are compared
	Served bool        // on the table
	Was    design.Code // its code before it was dropped, while that can be taken back
}

// Room is what floor sees of a sitting.
type Room struct {
	Now       time.Time
	Sitting   int
	Open      bool
	Invented  bool
	Word      string // of the evening, for guests whose phone asks for it
	TasteOnce bool   // what stands on a tray is not tasted again
	Counts    Tally
	Declined  int // said no
	study.Contents
	Waves Waves
	Ending
	Decision Decision    // of a plan that may end before everybody has tasted: go on, or enough
	Unused   int         // places that nobody uses and that can be returned; see [Service.ReturnUnused]
	Seats    []FloorSeat // by label
	Asks     []BlindAsk  // to see what a plate is
}

// GuestConsent is what floor confirms for a guest without a phone.
type GuestConsent struct {
	Table         int                    // 0 = not said
	AllergensRead bool                   // the union of allergens was read to or by the guest, who can eat all of it
	ConsentRead   bool                   // the consent text was read to or by the guest, who agrees
	OldEnough     bool                   // the guest is as old as [GuestTexts] asks, when it does
	Levels        map[string]int         // what decides the stratum: levels, from 1, by field
	Screening     map[string]study.Reply // what the guest answered, by field
}
