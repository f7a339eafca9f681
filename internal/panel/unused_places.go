package panel

import (
	"context"
	"errors"
)

// unused reports whether the place of a seat is held by somebody who does not come: nothing
// was served or said there, and their phone was not heard from for [SilentAfter]. A guest
// without a phone is at the table.
func (s *Service) unused(e evening, t seatState) bool {
	return t.study.State == Open && t.assessor.Phone && t.untasted() && !t.stateAt(AllSittings, e.now).gone() &&
		s.silence(t.assessor, e.now) >= SilentAfter
}

// unusedSeats counts the places of a sitting that [Service.ReturnUnused] would return.
func (s *Service) unusedSeats(e evening, sitting int) (n int) {
	for _, t := range e.at(sitting) {
		if s.unused(e, t) {
			n++
		}
	}
	return n
}

// ReturnUnused returns the places of floor's sitting that were taken by phones from which
// nothing was heard for [SilentAfter], and at which nobody tasted, and says how many. The next
// guests get them in the order of the plan, so that its balance is kept. Whoever comes back
// to one is told to join again.
func (s *Service) ReturnUnused(ctx context.Context, by Session) (int, error) {
	sitting, stored, err := s.at(ctx, by, ActServe)
	if err != nil {
		return 0, err
	}
	e, err := s.evening(ctx, stored)
	if err != nil {
		return 0, err
	}
	returned := 0
	for _, t := range e.at(sitting.Number) {
		if !s.unused(e, t) {
			continue
		}
		err := s.freePlace(ctx, by, t.assessor)
		if errors.Is(err, ErrTasted) || errors.Is(err, ErrNotFound) {
			continue // somebody was quicker
		}
		if err != nil {
			return returned, err
		}
		returned++
	}
	return returned, nil
}
