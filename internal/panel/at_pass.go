package panel

import (
	"context"
	"fmt"
	"time"

	"cloche/internal/design"
	"cloche/internal/study"
)

// AtPass notes that the plates of a turn stand at the pass, by the code of one of them; the
// first moment counts. There is false to take it back. [ErrNotFound] when no plate of a
// guest has the code, [ErrOverAlready] when it was set down or is not wanted any more.
func (s *Service) AtPass(ctx context.Context, by Session, code design.Code, there bool, o PhoneAct) error {
	sitting, stored, err := s.at(ctx, by, ActPlate)
	if err != nil {
		return err
	}
	if again := s.first(ctx, stored.ID, o); again != nil {
		return again
	}
	e, err := s.evening(ctx, stored)
	if err != nil {
		return err
	}
	x, found := e.turnWith(sitting.Number, code)
	t, seated := e.seatAt(x.Place)
	if !found || !seated || t.index(x.ID) < 0 {
		return ErrNotFound
	}
	if state := plateState(x, t, true, e.now); x.touched() || state == PlateEaten || state == PlateNotGone {
		return ErrOverAlready
	}
	if there == !x.PassedAt.IsZero() {
		return nil // another phone of the kitchen was quicker
	}
	at, said := e.now.Add(-o.Waited), "at the pass"
	if !there {
		at, said = time.Time{}, "at the pass: taken back"
	}
	noted := s.event(stored.ID, by.Who(), said, "codes "+string(x.Key()))
	noted.ActID = o.ID
	if err := s.store.NoteTurn(ctx, x.ID, TurnNote{Passed: &at}, noted); err != nil {
		return fmt.Errorf("note a plate at the pass: %w", err)
	}
	s.changed(stored.ID)
	return nil
}

// passLong is how long a plate may wait at the pass before it is marked.
func passLong(a *study.Study) time.Duration {
	return time.Duration(a.Serving.PassMinutes) * time.Minute
}

// seatAt finds the seat of a place.
func (e evening) seatAt(place int) (seatState, bool) {
	for _, t := range e.seats {
		if t.assessor.Place == place {
			return t, true
		}
	}
	return seatState{}, false
}

// passedAt is since when the plates of the turn that comes next stand at the pass.
func (t seatState) passedAt() (at time.Time) {
	if n := t.next(); n < len(t.turns) {
		at = t.turns[n].PassedAt
	}
	return at
}
