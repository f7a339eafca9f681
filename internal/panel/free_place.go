package panel

import (
	"context"
	"fmt"
)

// untasted reports whether nothing was set down at a seat, refused or answered.
func (t seatState) untasted() bool {
	for _, x := range t.turns {
		if x.touched() || t.over(x) {
			return false
		}
	}
	return true
}

// FreeSeat frees the place of a seat of the floor's sitting that never tasted, for the
// next guest. [ErrTasted] when it did.
func (s *Service) FreeSeat(ctx context.Context, by Session, seatID AssessorID) error {
	if _, _, err := s.at(ctx, by, ActServe); err != nil {
		return err
	}
	t, err := s.seatFor(ctx, by, seatID)
	if err != nil {
		return err
	}
	return s.freePlace(ctx, by, t.assessor)
}

// FreeNumber is [Service.FreeSeat] by the lead, for the assessor with a number.
// [ErrNotFound] when there is none.
func (s *Service) FreeNumber(ctx context.Context, by Session, studyID StudyID, label int) error {
	if err := by.may(ActFree); err != nil {
		return err
	}
	people, err := s.store.Assessors(ctx, studyID)
	if err != nil {
		return err
	}
	for _, a := range people {
		if a.Label() == label {
			return s.freePlace(ctx, by, a)
		}
	}
	return ErrNotFound
}

func (s *Service) freePlace(ctx context.Context, by Session, a Assessor) error {
	e := s.event(a.StudyID, by.Who(), "place freed", a.nameInLog()+", never tasted")
	if err := s.store.FreePlace(ctx, a.ID, e); err != nil {
		return fmt.Errorf("free a place: %w", err)
	}
	s.changed(a.StudyID)
	return nil
}
