package panel

import (
	"context"
	"fmt"
	"time"
)

// Serve notes that a serving was set down. It has to be the one that comes next at
// its seat: [ErrNotFound] otherwise.
func (s *Service) Serve(ctx context.Context, by Session, servingID string) error {
	now := s.now()
	return s.noteServing(ctx, by, servingID, "served", ServingNote{Served: &now})
}

// TakeBack takes back that a serving was set down.
func (s *Service) TakeBack(ctx context.Context, by Session, servingID string) error {
	return s.noteServing(ctx, by, servingID, "taken back", ServingNote{Served: &time.Time{}})
}

// Refuse notes that the guest did not want a serving, or did not say what they
// expect of a name that is read; the next one follows. A guest who rates it after
// all did not refuse.
func (s *Service) Refuse(ctx context.Context, by Session, servingID string) error {
	now := s.now()
	return s.noteServing(ctx, by, servingID, "refused", ServingNote{Refused: &now})
}

func (s *Service) noteServing(ctx context.Context, by Session, servingID, what string, n ServingNote) error {
	t, i, err := s.current(ctx, by, servingID)
	if err != nil {
		return err
	}
	if t.servings[i].IsRead() && n.Refused == nil {
		return ErrNotFound // nothing is served
	}
	e := s.event(t.study.ID, by.Who(), what, t.plate(i))
	if err := s.store.NoteServing(ctx, servingID, n, e); err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	s.changed(t.study.ID)
	return nil
}

// Drop notes that a plate was dropped before it was rated: the serving gets the
// next spare code of the sitting, and the kitchen plates it anew under that code.
// The old code stays in the log. [ErrNoSpare] when no code is left: plate it anew
// under the old one.
func (s *Service) Drop(ctx context.Context, by Session, servingID string) (FloorServing, error) {
	t, i, err := s.current(ctx, by, servingID)
	if err != nil {
		return FloorServing{}, err
	}
	if t.servings[i].IsRead() {
		return FloorServing{}, ErrNotFound
	}
	e := s.event(t.study.ID, by.Who(), "dropped", t.plate(i))
	fresh, err := s.store.Drop(ctx, servingID, s.now(), e)
	if err != nil {
		return FloorServing{}, fmt.Errorf("drop a plate: %w", err)
	}
	s.changed(t.study.ID)
	t.servings[i] = fresh
	return t.floorServing(i), nil
}

// FloorBallot returns the questions of the serving that comes next at its seat, or
// of the one rated last with the answers that stand, for floor to enter on a
// guest's behalf.
func (s *Service) FloorBallot(ctx context.Context, by Session, servingID string) (BallotServing, error) {
	t, i, err := s.enterable(ctx, by, servingID)
	if err != nil {
		return BallotServing{}, err
	}
	if i == t.next() {
		return t.ballotServing(i), nil
	}
	return s.correctable(ctx, t)
}

// Enter takes a submission that floor types on a guest's behalf, for the serving
// that comes next at its seat or for the one rated last; its ratings are marked as
// entered by floor. Otherwise as [Service.Submit].
func (s *Service) Enter(ctx context.Context, by Session, sub Submission) (Receipt, error) {
	t, i, err := s.enterable(ctx, by, sub.ServingID)
	if err != nil {
		return Receipt{}, err
	}
	sub.ID = by.Role.String() + "/" + sub.ID // never the id of one of the guest's own
	sub.Seq = 0                              // several phones of the floor do not count together
	return s.submit(ctx, t, i, sub, by.Who())
}

// enterable returns the seat of a serving whose answers floor may enter or correct.
func (s *Service) enterable(ctx context.Context, by Session, servingID string) (seat, int, error) {
	t, i, err := s.servingFor(ctx, by, servingID)
	if err != nil {
		return seat{}, 0, err
	}
	if i != t.next() && i != t.last() {
		return seat{}, 0, ErrNotFound
	}
	return t, i, nil
}

// current returns the seat of a serving that comes next there, and its index.
func (s *Service) current(ctx context.Context, by Session, servingID string) (seat, int, error) {
	t, i, err := s.servingFor(ctx, by, servingID)
	if err != nil {
		return seat{}, 0, err
	}
	_, rated := t.answered[servingID]
	switch n := t.next(); {
	case i == n:
		return t, i, nil
	case i < n && rated:
		return seat{}, 0, ErrRated
	}
	return seat{}, 0, ErrNotFound
}

// servingFor returns the seat of a serving at the sitting of floor, and its index.
func (s *Service) servingFor(ctx context.Context, by Session, servingID string) (seat, int, error) {
	sitting, kept, err := s.at(ctx, by, ActServe)
	if err != nil {
		return seat{}, 0, err
	}
	v, err := s.store.Serving(ctx, servingID)
	if err != nil {
		return seat{}, 0, err
	}
	if v.StudyID != kept.ID || v.Sitting != sitting.Number && !v.IsRead() {
		return seat{}, 0, ErrNotFound
	}
	people, err := s.store.Assessors(ctx, kept.ID)
	if err != nil {
		return seat{}, 0, err
	}
	for _, a := range people {
		if a.Place != v.Place {
			continue
		}
		t, err := s.seatOf(ctx, a)
		if err != nil {
			return seat{}, 0, err
		}
		if i := t.index(servingID); i >= 0 && t.tastesAt(sitting.Number) {
			return t, i, nil
		}
	}
	return seat{}, 0, ErrNotFound
}

// plate names a serving in the log: never its sample.
func (t seat) plate(i int) string {
	number, _ := t.number(i)
	if t.servings[i].IsRead() {
		return fmt.Sprintf("assessor %d, name %d, before tasting", t.assessor.Label(), number)
	}
	return fmt.Sprintf("assessor %d, serving %d, code %s", t.assessor.Label(), number, t.servings[i].Code)
}
