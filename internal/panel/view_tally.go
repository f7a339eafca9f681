package panel

import (
	"time"

	"cloche/internal/design"
)

// SeatState is where a seat stands. A seat is in one state at a time, at each
// sitting; [seat.stateAt] is the one place that says in which.
type SeatState string

// The states of a seat, as the help page on words names them.
const (
	SeatStarting  SeatState = "starting"  // has agreed, and not started yet
	SeatReading   SeatState = "reading"   // says what they expect of names
	SeatWaiting   SeatState = "waiting"   // for a plate
	SeatTasting   SeatState = "tasting"   // a plate is on the table
	SeatRinsing   SeatState = "rinsing"   // pauses before the next serving
	SeatElsewhere SeatState = "elsewhere" // goes on at another sitting
	SeatFinished  SeatState = "finished"  // every serving is over
	SeatLeft      SeatState = "left"      // went home early
	SeatWithdrawn SeatState = "withdrawn" // took the answers out
	SeatStopped   SeatState = "stopped"   // the study was closed before they finished
)

// AllSittings stands for every sitting of a study where a sitting is asked for.
const AllSittings = 0

// Tally counts seats by their states, and what was rated. Every count of seats on
// every screen is one of these.
type Tally struct {
	Places int // of the plan
	Free   int // nobody has taken them, or whoever had went before any plate

	Starting, Reading, Waiting, Tasting, Rinsing, Elsewhere int
	Finished, Left, Withdrawn, Stopped                      int

	Rated    int // servings of turns that have answers, warm-ups and references left out
	Expected int // those, and those that are to come or were refused
	toCome   int // plates that will still be served, warm-ups too
}

// Joined counts everybody who has a seat: each is in one of the states.
func (l Tally) Joined() int {
	return l.Starting + l.Reading + l.Waiting + l.Tasting + l.Rinsing + l.Elsewhere + l.Gone() + l.Finished
}

// Gone counts who tastes no more and has not finished.
func (l Tally) Gone() int { return l.Left + l.Withdrawn + l.Stopped }

func (l *Tally) add(s SeatState) {
	switch s {
	case SeatStarting:
		l.Starting++
	case SeatReading:
		l.Reading++
	case SeatWaiting:
		l.Waiting++
	case SeatTasting:
		l.Tasting++
	case SeatRinsing:
		l.Rinsing++
	case SeatElsewhere:
		l.Elsewhere++
	case SeatFinished:
		l.Finished++
	case SeatLeft:
		l.Left++
	case SeatWithdrawn:
		l.Withdrawn++
	case SeatStopped:
		l.Stopped++
	}
}

// gone reports whether nothing more is served to a seat in this state.
func (s SeatState) gone() bool { return s == SeatLeft || s == SeatWithdrawn || s == SeatStopped }

// stateAt returns where an assessor stands at a sitting, or in the whole study for
// [AllSittings].
func (t seatState) stateAt(sitting int, now time.Time) SeatState {
	over, of := t.count(sitting)
	stage := t.stage(now)
	switch {
	case stage == StageWithdrawn:
		return SeatWithdrawn
	case over == of:
		return SeatFinished
	case !t.assessor.LeftAt.IsZero():
		return SeatLeft
	case stage == StageClosed:
		return SeatStopped
	}
	plate := t.turns[t.plateFrom(t.next())]
	switch {
	case stage == StageLater, sitting != AllSittings && plate.Sitting != sitting:
		return SeatElsewhere
	case stage == StageScreening, stage == StageInstructions:
		return SeatStarting
	case stage == StageNames:
		return SeatReading
	case stage == StageRinse:
		return SeatRinsing
	case plate.set():
		return SeatTasting
	}
	return SeatWaiting
}

// plateFrom returns the first turn with plates from i on that is not over; len(turns)
// when there is none.
func (t seatState) plateFrom(i int) int {
	for i < len(t.turns) && (t.turns[i].reads() || t.over(t.turns[i])) {
		i++
	}
	return i
}

// tally counts the seats of a sitting, or of the whole study for [AllSittings].
func (e evening) tally(sitting int) Tally {
	var l Tally
	places := map[int]bool{}
	for _, t := range e.seats {
		if t.tastesAt(sitting) {
			l.count(t, sitting, e.now)
		}
	}
	for _, v := range e.plated(sitting) {
		places[v.Place] = true
	}
	l.Places = len(places)
	for place := range places {
		if e.vacant[place] {
			l.Free++
		}
	}
	return l
}

// count counts one seat and its servings.
func (l *Tally) count(t seatState, sitting int, now time.Time) {
	state := t.stateAt(sitting, now)
	l.add(state)
	for _, x := range t.turns {
		if sitting != AllSittings && x.Sitting != sitting {
			continue
		}
		rated := 0
		for _, v := range x.Servings {
			if v.Role == design.Rated {
				rated++
			}
		}
		comes := !t.over(x) && !state.gone()
		if comes {
			l.toCome += len(x.Servings)
		}
		if _, answered := t.answered[x.ID]; answered {
			l.Rated += rated
		}
		if comes || t.over(x) {
			l.Expected += rated
		}
	}
}
