package panel

import (
	"context"
	"fmt"
	"slices"
)

// isOpen reports whether assessors can taste at the sitting, or could until the
// study was closed.
func (x Sitting) isOpen() bool { return !x.OpenedAt.IsZero() }

// stateIn is the state of the sitting's study as far as the sitting goes: while
// another sitting is open, one that is prepared is locked.
func (x Sitting) stateIn(stored Study) State {
	if stored.State == Open && !x.isOpen() {
		return Locked
	}
	return stored.State
}

// Prepare makes the sittings of a locked or open study that are still to come, so
// that their links, cards and labels can be printed before anybody can taste. A
// second time changes nothing. [ErrWrongState] when there is nothing to prepare for,
// [ErrAmended] and [ErrEarlierOpen] as for [Service.OpenSitting]. Lead only.
func (s *Service) Prepare(ctx context.Context, by Session, studyID StudyID) error {
	if err := by.may(ActPrepare); err != nil {
		return err
	}
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return err
	}
	var all []Sitting
	for number := range stored.Spec.Panel.Sittings {
		x, err := s.newSitting(studyID, number+1)
		if err != nil {
			return err
		}
		all = append(all, x)
	}
	e := s.event(studyID, by.Who(), "prepared", fmt.Sprintf("sittings up to %d", len(all)))
	if err := s.store.PrepareSittings(ctx, studyID, all, e); err != nil {
		return fmt.Errorf("prepare sittings: %w", err)
	}
	return nil
}

// newSitting is a sitting that is not open yet.
func (s *Service) newSitting(studyID StudyID, number int) (Sitting, error) {
	id, err := s.token(12)
	if err != nil {
		return Sitting{}, err
	}
	join, err := s.token(16)
	return Sitting{ID: SittingID(id), StudyID: studyID, Number: number, Join: JoinToken(join)}, err
}

// OpenSitting opens the next sitting of a locked or open study.
func (s *Service) OpenSitting(ctx context.Context, by Session, studyID StudyID) (Sitting, error) {
	if err := by.may(ActPrepare); err != nil {
		return Sitting{}, err
	}
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return Sitting{}, err
	}
	all, err := s.store.Sittings(ctx, studyID)
	if err != nil {
		return Sitting{}, err
	}
	number := len(opened(all)) + 1
	if number > stored.Spec.Panel.Sittings {
		return Sitting{}, ErrWrongState
	}
	sitting, err := s.newSitting(studyID, number)
	if err != nil {
		return Sitting{}, err
	}
	if i := slices.IndexFunc(all, func(x Sitting) bool { return x.Number == number }); i >= 0 {
		sitting = all[i]
	}
	sitting.OpenedAt = s.now()
	entry := s.event(studyID, by.Who(), "opened", fmt.Sprintf("sitting %d", number))
	if err := s.store.OpenSitting(ctx, sitting, entry); err != nil {
		return Sitting{}, fmt.Errorf("open sitting %d: %w", number, err)
	}
	s.changed(studyID)
	return sitting, nil
}

// Sittings returns the sittings of a study by number: those that were opened, and
// after them those that are prepared.
func (s *Service) Sittings(ctx context.Context, studyID StudyID) ([]Sitting, error) {
	return s.store.Sittings(ctx, studyID)
}

// opened returns the sittings that were opened.
func opened(all []Sitting) []Sitting {
	return slices.DeleteFunc(slices.Clone(all), func(x Sitting) bool { return !x.isOpen() })
}

// openedSittings returns the sittings of a study that were opened, by number.
func (s *Service) openedSittings(ctx context.Context, studyID StudyID) ([]Sitting, error) {
	all, err := s.store.Sittings(ctx, studyID)
	return opened(all), err
}
