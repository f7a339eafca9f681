package panel

import (
	"context"
	"fmt"
	"strings"
	"time"
)

// Ending is how a study that is open comes to its end, in its time zone. The zero value is one that goes on.
type Ending struct {
	LastCall time.Time // since when it is announced that tasting ends soon
	Ends     time.Time // until when answers count; from the moment that this is set nothing more goes out
}

// Grace is how long those who taste may go on when the study is to close.
func (s Study) Grace() time.Duration { return time.Duration(s.Spec.Serving.GraceMinutes) * time.Minute }

// Ending is how the study comes to its end.
func (s Study) Ending() (e Ending) {
	if s.State != Open {
		return e
	}
	e.LastCall = in(s.LastCallAt, s.Zone())
	if !s.ClosingAt.IsZero() {
		e.Ends = s.ClosingAt.Add(s.Grace()).In(s.Zone())
	}
	return e
}

// Closing reports whether nothing more goes out, and those who taste finish.
func (e Ending) Closing() bool { return !e.Ends.IsZero() }

// over reports whether the grace is over: what arrives now does not count.
func (e Ending) over(now time.Time) bool { return e.Closing() && !now.Before(e.Ends) }

// LastCall announces to guests, floor and kitchen that tasting ends soon. Nothing else changes.
// [ErrWrongState] unless the study is open. A second time changes nothing.
func (s *Service) LastCall(ctx context.Context, by Session, studyID StudyID) error {
	now := s.now()
	return s.noteEnding(ctx, by, studyID, "last call", StudyNote{LastCall: &now})
}

// BeginClose ends the serving of a study: nobody joins any more and no plate goes out, and those
// who have one may answer it for as long as [Study.Grace] says. Answers that arrive later are
// kept aside as after the close, which the lead does then. [ErrWrongState] unless the study is
// open and gives some grace. A second time changes nothing.
func (s *Service) BeginClose(ctx context.Context, by Session, studyID StudyID) error {
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return err
	}
	now := s.now()
	if stored.Grace() == 0 {
		return ErrWrongState
	}
	return s.noteEnding(ctx, by, studyID, "closing", StudyNote{Closing: &now})
}

func (s *Service) noteEnding(ctx context.Context, by Session, studyID StudyID, what string, n StudyNote) error {
	if err := by.may(ActClose); err != nil {
		return err
	}
	if err := s.store.NoteStudy(ctx, studyID, n, s.event(studyID, by.Who(), what, "")); err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	s.changed(studyID)
	people, err := s.store.Assessors(ctx, studyID)
	for _, a := range people {
		s.tellPhone(a.ID) // every phone says so
	}
	return err
}

// cutOff reports whether a seat tastes no more because the study closes: what comes next for it
// was not in front of it when that began, or the grace is over.
func (t seatState) cutOff(now time.Time) bool {
	e := t.study.Ending()
	if !e.Closing() {
		return false
	}
	n := t.next()
	from := t.since()
	if last := t.tasted(n); !last.IsZero() {
		from = later(from, t.restOver(last))
	}
	began := t.study.ClosingAt
	return e.over(now) || t.assessor.StartedAt.IsZero() || from.After(began) && !t.turns[n].touched()
}

// stopped is where a plate stands that stands in state while the study does not close: what is
// not out yet stays in the kitchen.
func (e Ending) stopped(x Turn, state PlateState) PlateState {
	due := state == PlateNow || state == PlateNext || state == PlateLater
	if e.Closing() && due && x.PassedAt.IsZero() {
		return PlateNotGone
	}
	return state
}

// Notice is what a phone is told of the end, as its page compares it: the same word as long as
// it says the same.
func (e Ending) Notice() string {
	var parts []string
	if !e.LastCall.IsZero() {
		parts = append(parts, "last")
	}
	if e.Closing() {
		parts = append(parts, e.Ends.UTC().Format("15:04"))
	}
	return strings.Join(parts, " ")
}
