package panel

import (
	"context"
	"fmt"
	"slices"
	"time"

	"cloche/internal/design"
	"cloche/internal/study"
)

// seatState is an assessor with what is needed to say what comes next. An assessor is
// served from the sitting on at which they joined: what the plan had for them
// before is missed. Names that are read stand before all plates; those of the
// samples that they will taste are read, at whichever sitting they joined.
type seatState struct {
	assessor Assessor
	study    Study    // on an assessor's own pages asked in their language
	offered  []string // languages
	turns    []Turn   // in order
	answered map[TurnID]time.Time
	opened   map[int]bool // sittings, by number

	lent       bool // on the house's tablet; on an assessor's own pages
	afterClose int  // servings with answers that arrived after the close; on an assessor's own pages
}

// newSeat keeps what matters of a place's turns.
func newSeat(a Assessor, stored Study, sittings []Sitting, turns []Turn, answered map[TurnID]time.Time) seatState {
	r := SeatRecord{Assessor: a, Study: stored, Turns: turns, Answered: answered, Opened: map[int]bool{}}
	for _, x := range sittings {
		r.Opened[x.Number] = true
		if x.ID == a.SittingID {
			r.Joined = x.Number
		}
	}
	return r.state()
}

func (r SeatRecord) state() seatState {
	stored := r.Study
	t := seatState{assessor: r.Assessor, study: stored, offered: stored.Spec.Languages, answered: r.Answered,
		opened: r.Opened}
	met := map[study.NameID]bool{}
	for _, x := range r.Turns {
		if x.Role != design.Rated || x.Sitting < r.Joined {
			continue
		}
		for _, v := range x.Servings {
			sample, _ := stored.Spec.Sample(v.Sample)
			met[sample.Name] = true
		}
	}
	for _, x := range r.Turns {
		if x.reads() && met[x.Name] || !x.reads() && x.Sitting >= r.Joined {
			t.turns = append(t.turns, x)
		}
	}
	return t
}

// nameInLog names an assessor in the log.
func (a Assessor) nameInLog() string { return fmt.Sprintf("assessor %d", a.Label()) }

// over reports whether a turn has answers or was refused.
func (t seatState) over(x Turn) bool {
	_, done := t.answered[x.ID]
	return done || !x.RefusedAt.IsZero()
}

// next returns the first turn that is not over, from 0; len(turns) when there is
// none. Whoever has tasted can no longer say what they expect, so a name that was
// not read by then is passed over.
func (t seatState) next() int {
	tasted := t.last() >= 0 && !t.turns[t.last()].reads()
	for i, x := range t.turns {
		if !t.over(x) && !(x.reads() && tasted) {
			return i
		}
	}
	return len(t.turns)
}

// last returns the last turn that has answers, or -1.
func (t seatState) last() int {
	for i := len(t.turns) - 1; i >= 0; i-- {
		if _, done := t.answered[t.turns[i].ID]; done {
			return i
		}
	}
	return -1
}

// index returns where a turn stands, or -1.
func (t seatState) index(id TurnID) int {
	return slices.IndexFunc(t.turns, func(x Turn) bool { return x.ID == id })
}

// tastesAt reports whether the plan has servings for the assessor at a sitting.
func (t seatState) tastesAt(sitting int) bool {
	_, of := t.count(sitting)
	return of > 0
}

// count returns how many servings of a sitting are over, and how many there are;
// those of all sittings for [AllSittings].
func (t seatState) count(sitting int) (over, of int) {
	for _, x := range t.turns {
		if sitting != AllSittings && x.Sitting != sitting {
			continue
		}
		of += len(x.Servings)
		if t.over(x) {
			over += len(x.Servings)
		}
	}
	return over, of
}

// number returns the number of a turn within its sitting, from 1, and how many
// there are. Names that are read are numbered apart, and what is only tasted.
func (t seatState) number(i int) (number, of int) {
	for k, x := range t.turns {
		if x.Sitting != t.turns[i].Sitting || x.reads() != t.turns[i].reads() || x.Response != t.turns[i].Response {
			continue
		}
		of++
		if k <= i {
			number++
		}
	}
	return number, of
}

// since returns when the turn that comes next could begin: when the answers
// before it arrived, when the names were read, or when the instructions were. Zero
// before.
func (t seatState) since() time.Time {
	n := t.next()
	at := later(t.assessor.StartedAt, t.tasted(n))
	for _, x := range t.turns[:n] {
		if x.reads() {
			at = later(at, later(t.answered[x.ID], x.RefusedAt))
		}
	}
	return at
}

// tasted returns when the plates before the turn at n were answered, at the same
// sitting; zero when there were none.
func (t seatState) tasted(n int) (at time.Time) {
	if n == len(t.turns) {
		return at
	}
	for _, x := range t.turns[:n] {
		if !x.reads() && x.Sitting == t.turns[n].Sitting {
			at = later(at, t.answered[x.ID])
		}
	}
	return at
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// rest returns what is left of the rinse pause at now.
func (t seatState) rest(now time.Time) time.Duration {
	last := t.tasted(t.next())
	if last.IsZero() {
		return 0
	}
	pause := t.pause()
	if last.Sub(now) > pause { // the clock was set back: nobody waits until it is that late again
		return 0
	}
	return min(max(t.restOver(last).Sub(now), 0), pause)
}

// restOver returns when the rinse is over that follows a plate rated at last.
func (t seatState) restOver(last time.Time) time.Time {
	over := last.Add(t.pause())
	if early := t.assessor.RestedAt; !early.Before(last) && early.Before(over) {
		return early
	}
	return over
}

func (t seatState) pause() time.Duration {
	return time.Duration(t.study.Spec.Serving.RinseSeconds) * time.Second
}

// restedAt returns when the rinse after answers is over that arrive at now and were
// given earlier, as the phone counts; zero when it runs from now on.
func (t seatState) restedAt(now time.Time, waited time.Duration) time.Time {
	if waited <= 0 || t.pause() == 0 {
		return time.Time{}
	}
	return now.Add(max(t.pause()-waited, 0))
}

// stage returns what the assessor's phone shows now.
func (t seatState) stage(now time.Time) Stage {
	n := t.next()
	switch {
	case !t.assessor.WithdrawnAt.IsZero():
		return StageWithdrawn
	case t.asksLast(now):
		return StageLast
	case n == len(t.turns):
		return StageDone
	case t.study.State != Open, t.cutOff(now):
		return StageClosed
	case !t.assessor.LeftAt.IsZero():
		return StageLeft
	case t.assessor.StartedAt.IsZero() && t.unscreened():
		return StageScreening
	case t.assessor.StartedAt.IsZero():
		return StageInstructions
	case t.turns[n].reads():
		return StageNames
	case !t.opened[t.turns[n].Sitting]:
		return StageLater
	case t.rest(now) > 0:
		return StageRinse
	case t.gated(t.turns[n]):
		return StagePlate
	}
	return StageServing
}

// seatOfLink returns the assessor of a personal link, who reads the study in the
// language that suits them.
func (s *Service) seatOfLink(ctx context.Context, token SeatToken) (seatState, error) {
	r, lent, err := s.seatByLink(ctx, token)
	if err != nil {
		return seatState{}, err
	}
	if r.Study, err = s.askedOnce(ctx, r.Study); err != nil {
		return seatState{}, err
	}
	t := r.state()
	t.lent, t.study.Spec = lent, spoken(ctx, t.study.Spec)
	switch t.study.State {
	case Open:
		s.hear(r.Assessor)
		if t.study.Ending().over(s.now()) {
			t.afterClose, err = s.store.AfterClose(ctx, r.Assessor.ID)
		}
	case Closed:
		t.afterClose, err = s.store.AfterClose(ctx, r.Assessor.ID)
	case Draft, Locked:
	}
	return t, err
}

func (s *Service) seatOf(ctx context.Context, a Assessor) (seatState, error) {
	stored, err := s.Study(ctx, a.StudyID)
	if err != nil {
		return seatState{}, err
	}
	sittings, err := s.openedSittings(ctx, a.StudyID)
	if err != nil {
		return seatState{}, err
	}
	turns, err := s.store.Turns(ctx, a.StudyID, a.Place)
	if err != nil {
		return seatState{}, err
	}
	answered, err := s.store.AnsweredBy(ctx, a.ID)
	return newSeat(a, stored, sittings, turns, answered), err
}
