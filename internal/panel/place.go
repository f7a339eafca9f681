package panel

import (
	"context"
	"fmt"
	"time"
)

// seat is an assessor with what is needed to say what comes next. An assessor is
// served from the sitting on at which they joined: what the plan had for them
// before is missed.
type seat struct {
	assessor Assessor
	study    Study     // on an assessor's own pages asked in their language
	offered  []string  // languages
	servings []Serving // in order
	answered map[string]time.Time
	opened   map[int]bool // sittings, by number
}

// newSeat keeps what matters of a place's servings.
func newSeat(a Assessor, kept Study, sittings []Sitting, servings []Serving, answered map[string]time.Time) seat {
	t := seat{assessor: a, study: kept, offered: kept.Asked.Languages, answered: answered, opened: map[int]bool{}}
	joined := 0
	for _, x := range sittings {
		t.opened[x.Number] = true
		if x.ID == a.SittingID {
			joined = x.Number
		}
	}
	for _, v := range servings {
		if v.Sitting >= joined {
			t.servings = append(t.servings, v)
		}
	}
	return t
}

// who names an assessor in the log.
func (a Assessor) who() string { return fmt.Sprintf("assessor %d", a.Label()) }

// next returns the first serving that has no answers and was not refused, from 0;
// len(servings) when there is none.
func (t seat) next() int {
	for i, v := range t.servings {
		if _, done := t.answered[v.ID]; !done && v.RefusedAt.IsZero() {
			return i
		}
	}
	return len(t.servings)
}

// last returns the last serving that has answers, or -1.
func (t seat) last() int {
	for i := len(t.servings) - 1; i >= 0; i-- {
		if _, done := t.answered[t.servings[i].ID]; done {
			return i
		}
	}
	return -1
}

// index returns where a serving stands, or -1.
func (t seat) index(servingID string) int {
	for i, v := range t.servings {
		if v.ID == servingID {
			return i
		}
	}
	return -1
}

// tastesAt reports whether the plan has servings for the assessor at a sitting.
func (t seat) tastesAt(sitting int) bool {
	_, of := t.count(sitting)
	return of > 0
}

// count returns how many servings of a sitting are over, and how many there are.
func (t seat) count(sitting int) (over, of int) {
	for _, v := range t.servings {
		if v.Sitting != sitting {
			continue
		}
		of++
		if _, done := t.answered[v.ID]; done || !v.RefusedAt.IsZero() {
			over++
		}
	}
	return over, of
}

// number returns the number of a serving within its sitting, from 1, and how many
// there are.
func (t seat) number(i int) (number, of int) {
	for k, v := range t.servings {
		if v.Sitting != t.servings[i].Sitting {
			continue
		}
		of++
		if k <= i {
			number++
		}
	}
	return number, of
}

// since returns when the serving that comes next could begin: when the answers
// before it arrived, or when the instructions were read. Zero before.
func (t seat) since() time.Time {
	n := t.next()
	at := t.assessor.StartedAt
	for i, v := range t.servings {
		if done, ok := t.answered[v.ID]; ok && i < n && n < len(t.servings) && v.Sitting == t.servings[n].Sitting && done.After(at) {
			at = done
		}
	}
	return at
}

// rest returns what is left of the rinse pause at now.
func (t seat) rest(now time.Time) time.Duration {
	n := t.next()
	if n == 0 || n == len(t.servings) {
		return 0
	}
	var last time.Time
	for _, v := range t.servings[:n] {
		if at, done := t.answered[v.ID]; done && v.Sitting == t.servings[n].Sitting && at.After(last) {
			last = at
		}
	}
	if last.IsZero() || !t.assessor.RestedAt.Before(last) {
		return 0
	}
	pause := time.Duration(t.study.Asked.Serving.RinseSeconds) * time.Second
	return min(max(pause-now.Sub(last), 0), pause) // a clock that was set back does not lengthen the pause
}

// stage returns what the assessor's phone shows now.
func (t seat) stage(now time.Time) Stage {
	n := t.next()
	switch {
	case !t.assessor.WithdrawnAt.IsZero():
		return StageWithdrawn
	case n == len(t.servings):
		return StageDone
	case t.study.State != Open:
		return StageClosed
	case !t.assessor.LeftAt.IsZero():
		return StageLeft
	case t.assessor.StartedAt.IsZero():
		return StageInstructions
	case !t.opened[t.servings[n].Sitting]:
		return StageLater
	case t.rest(now) > 0:
		return StageRinse
	}
	return StageServing
}

// seat returns the assessor of a personal link, who reads the study in the
// language that suits them.
func (s *Service) seat(ctx context.Context, token string) (seat, error) {
	a, err := s.store.AssessorByToken(ctx, hash(token))
	if err != nil {
		return seat{}, err
	}
	t, err := s.seatOf(ctx, a)
	if err != nil {
		return seat{}, err
	}
	t.study.Asked = spoken(ctx, t.study.Asked)
	return t, nil
}

func (s *Service) seatOf(ctx context.Context, a Assessor) (seat, error) {
	kept, err := s.Study(ctx, a.StudyID)
	if err != nil {
		return seat{}, err
	}
	sittings, err := s.store.Sittings(ctx, a.StudyID)
	if err != nil {
		return seat{}, err
	}
	servings, err := s.store.Servings(ctx, a.StudyID, a.Place, 0)
	if err != nil {
		return seat{}, err
	}
	answered, err := s.store.AnsweredServings(ctx, a.ID)
	return newSeat(a, kept, sittings, servings, answered), err
}
