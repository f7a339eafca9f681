package panel

import "time"

// SeatRecord is an assessor with what says what comes next for them.
type SeatRecord struct {
	Assessor Assessor
	Study    Study // without File, and without what stands beside it: undo, countersignature
	Joined   int   // number of the sitting at which they joined
	Servings []Serving
	Answered map[string]time.Time // when each serving was rated, by its id
	Opened   map[int]bool         // the sittings of their servings that were opened, by number
}
