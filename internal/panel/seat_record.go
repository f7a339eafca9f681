package panel

import "time"

// SeatRecord is an assessor with what says what comes next for them.
type SeatRecord struct {
	Assessor Assessor
	Study    Study // without File, and without what stands beside it: undo, countersignature
	Joined   int   // number of the sitting at which they joined
	Turns    []Turn
	Answered map[TurnID]time.Time // when each turn was answered, by its id
	Opened   map[int]bool         // the sittings of their turns that were opened, by number
}
