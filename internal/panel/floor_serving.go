package panel

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// Once makes an act count once that a phone without network kept and sends until
// it hears what became of it. The zero value is that of a page without a script.
type Once struct {
	ID   string // made by the phone, at most 64 bytes; "" = not made
	Code string // on the plate, as the phone showed it; "" = whatever it carries now
}

// first returns [ErrRepeated] when an act was taken before.
func (s *Service) first(ctx context.Context, studyID string, o Once) error {
	if o.ID == "" {
		return nil
	}
	if len(o.ID) > maxSubmissionID {
		return fmt.Errorf("%w: an act's id has at most %d bytes", ErrBadValue, maxSubmissionID)
	}
	taken, err := s.store.Acted(ctx, studyID, o.ID)
	if err != nil {
		return err
	}
	if taken {
		return ErrRepeated
	}
	return nil
}

// actAt is [Service.at] for an act that was not taken before.
func (s *Service) actAt(ctx context.Context, by Session, o Once) (Sitting, Study, error) {
	sitting, kept, err := s.at(ctx, by, ActServe)
	if err == nil || errors.Is(err, ErrNotOpen) { // what was taken before close was taken
		if again := s.first(ctx, by.StudyID, o); again != nil {
			return Sitting{}, Study{}, again
		}
	}
	return sitting, kept, err
}

// Serve notes that a serving was set down. It has to be the one that comes next at
// its seat: [ErrNotYet] before that. What a phone tells after the guest has rated
// the serving stands in the log.
func (s *Service) Serve(ctx context.Context, by Session, servingID string, o Once) error {
	now := s.now()
	err := s.noteServing(ctx, by, servingID, "served", ServingNote{Served: &now}, o)
	if o.ID == "" || !errors.Is(err, ErrRated) {
		return err
	}
	t, i, err := s.servingFor(ctx, by, servingID)
	if err != nil {
		return err
	}
	e := s.event(t.study.ID, by.Who(), "served", t.plate(i)+", told after it was rated")
	e.Once = o.ID
	note := ServingNote{}
	if t.servings[i].ServedAt.IsZero() {
		note.Served = &now
	}
	return s.store.NoteServing(ctx, servingID, note, e)
}

// TakeBack takes back that a serving was set down.
func (s *Service) TakeBack(ctx context.Context, by Session, servingID string, o Once) error {
	return s.noteServing(ctx, by, servingID, "taken back", ServingNote{Served: &time.Time{}}, o)
}

// Refuse notes that the guest did not want a serving, or did not say what they
// expect of a name that is read; the next one follows. A guest who rates it after
// all did not refuse.
func (s *Service) Refuse(ctx context.Context, by Session, servingID string, o Once) error {
	now := s.now()
	return s.noteServing(ctx, by, servingID, "refused", ServingNote{Refused: &now}, o)
}

// TakeBackRefusal takes back that the guest did not want a serving, or that a name
// was skipped. [ErrMoot] once the next one was served or rated.
func (s *Service) TakeBackRefusal(ctx context.Context, by Session, servingID string, o Once) error {
	sitting, kept, err := s.actAt(ctx, by, o)
	if err != nil {
		return err
	}
	t, i, err := s.servingIn(ctx, sitting, kept, servingID)
	if err != nil {
		return err
	}
	if i != t.refused() {
		return ErrMoot
	}
	e := s.event(kept.ID, by.Who(), "refusal taken back", t.plate(i))
	e.Once = o.ID
	if err := s.store.NoteServing(ctx, servingID, ServingNote{Refused: &time.Time{}}, e); err != nil {
		return fmt.Errorf("take back a refusal: %w", err)
	}
	s.changedAt(t)
	return nil
}

// TakeBackDrop takes back that a plate was dropped: the serving has its code of
// before. The spare code is not used again. [ErrMoot] when it was not dropped.
func (s *Service) TakeBackDrop(ctx context.Context, by Session, servingID string, o Once) (FloorServing, error) {
	t, i, err := s.current(ctx, by, servingID, o)
	if err != nil {
		return FloorServing{}, err
	}
	e := s.event(t.study.ID, by.Who(), "drop taken back", t.plate(i))
	e.Once = o.ID
	back, err := s.store.TakeBackDrop(ctx, servingID, t.servings[i].Code, s.now(), e)
	if err != nil {
		return FloorServing{}, fmt.Errorf("take back a drop: %w", err)
	}
	s.changedAt(t)
	t.servings[i] = back
	return t.floorServing(i), nil
}

func (s *Service) noteServing(ctx context.Context, by Session, servingID, what string, n ServingNote, o Once) error {
	t, i, err := s.current(ctx, by, servingID, o)
	if err != nil {
		return err
	}
	if t.servings[i].IsRead() && n.Refused == nil {
		return ErrNotFound // nothing is served
	}
	if n.Served != nil && !n.Served.IsZero() && !t.servings[i].ServedAt.IsZero() {
		n.Served = nil // two people noted it, or one tapped twice: the first time stands
	}
	e := s.event(t.study.ID, by.Who(), what, t.plate(i))
	e.Once = o.ID
	if err := s.store.NoteServing(ctx, servingID, n, e); err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	s.changedAt(t)
	return nil
}

// Drop notes that a plate was dropped before it was rated: the serving gets the
// next spare code of the sitting, and the kitchen plates it anew under that code.
// The old code stays in the log. [ErrNoSpare] when no code is left: plate it anew
// under the old one. A plate ahead of its turn can be dropped by its code: the
// guest's phone may be further on than this service knows.
func (s *Service) Drop(ctx context.Context, by Session, servingID string, o Once) (FloorServing, error) {
	t, i, err := s.current(ctx, by, servingID, o)
	if errors.Is(err, ErrNotYet) && o.Code != "" {
		t, i, err = s.servingFor(ctx, by, servingID)
	}
	if err != nil {
		return FloorServing{}, err
	}
	if t.servings[i].IsRead() {
		return FloorServing{}, ErrNotFound
	}
	old := t.servings[i].Code
	if o.Code != "" {
		old = o.Code
	}
	e := s.event(t.study.ID, by.Who(), "dropped", t.plate(i))
	e.Once = o.ID
	fresh, err := s.store.Drop(ctx, servingID, old, s.now(), e)
	if err != nil {
		return FloorServing{}, fmt.Errorf("drop a plate: %w", err)
	}
	s.changedAt(t)
	t.servings[i] = fresh
	return t.floorServing(i), nil
}

// DropCode drops the plate of a seat that carries a code, and returns its new
// code; see [Service.Drop]. It says no name: the plate may be ahead of its turn.
func (s *Service) DropCode(ctx context.Context, by Session, seatID string, o Once) (code string, err error) {
	sitting, _, err := s.actAt(ctx, by, o)
	if err != nil {
		return "", err
	}
	t, err := s.seatFor(ctx, by, seatID)
	if err != nil {
		return "", err
	}
	for _, v := range t.servings {
		if v.Sitting == sitting.Number && v.Code == o.Code && o.Code != "" {
			fresh, err := s.Drop(ctx, by, v.ID, o)
			return fresh.Code, err
		}
	}
	return "", ErrOtherCode
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
		return withNumbers(t.ballotServing(i)), nil
	}
	b, err := s.correctable(ctx, t)
	return withNumbers(b), err
}

// withNumbers shows the value of each mark: staff type what a guest says or wrote.
func withNumbers(b BallotServing) BallotServing {
	for i := range b.Asks {
		b.Asks[i].Number = true
	}
	return b
}

// Enter takes a submission that floor types on a guest's behalf, for the serving
// that comes next at its seat or for an earlier one; its ratings are marked as
// entered by floor. [ErrNotYet] for a later one. Otherwise as [Service.Submit].
func (s *Service) Enter(ctx context.Context, by Session, sub Submission) (Receipt, error) {
	if !MayDo(by.Role, ActServe, Open) {
		return Receipt{}, ErrRefused
	}
	sitting, kept, err := s.sitting(ctx, by.SittingID)
	if err != nil {
		return Receipt{}, err
	}
	t, i, err := s.servingIn(ctx, sitting, kept, sub.ServingID) // the store says when the study is closed
	if err != nil {
		return Receipt{}, err
	}
	if i > t.next() && kept.State == Open {
		return Receipt{}, ErrNotYet
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
	switch n := t.next(); {
	case i == n, i == t.last():
		return t, i, nil
	case i > n:
		return seat{}, 0, ErrNotYet
	}
	return seat{}, 0, ErrMoot
}

// current returns the seat of a serving that comes next there, and its index, for
// an act that was not taken before.
func (s *Service) current(ctx context.Context, by Session, servingID string, o Once) (seat, int, error) {
	sitting, kept, err := s.actAt(ctx, by, o)
	if err != nil {
		return seat{}, 0, err
	}
	t, i, err := s.servingIn(ctx, sitting, kept, servingID)
	if err != nil {
		return seat{}, 0, err
	}
	n := t.next()
	_, rated := t.answered[servingID]
	switch {
	case i < n && rated:
		return seat{}, 0, ErrRated
	case i < n:
		return seat{}, 0, ErrMoot
	case o.Code != "" && o.Code != t.servings[i].Code:
		return seat{}, 0, ErrOtherCode
	case i > n:
		return seat{}, 0, ErrNotYet
	}
	return t, i, nil
}

// servingFor returns the seat of a serving at the sitting of floor, and its index.
func (s *Service) servingFor(ctx context.Context, by Session, servingID string) (seat, int, error) {
	sitting, kept, err := s.at(ctx, by, ActServe)
	if err != nil {
		return seat{}, 0, err
	}
	return s.servingIn(ctx, sitting, kept, servingID)
}

func (s *Service) servingIn(ctx context.Context, sitting Sitting, kept Study, servingID string) (seat, int, error) {
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
