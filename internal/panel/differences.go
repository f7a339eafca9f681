package panel

import (
	"context"
	"errors"
	"fmt"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// keepDifferences keeps what later studies need of a closed one, so that nobody has to read
// its ratings again.
func (s *Service) keepDifferences(ctx context.Context, studyID StudyID) error {
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return err
	}
	people, err := s.store.Assessors(ctx, studyID)
	if err != nil {
		return err
	}
	return s.store.KeepDifferences(ctx, studyID, func(all []KeyedAnswer) []analysis.FoundDifference {
		if stored.Spec == nil {
			return nil
		}
		found, err := analysis.FoundDifferences(stored.Spec, ratings(all), screened(people))
		if err != nil {
			return nil // what cannot be analysed tells nothing, and stops no other study
		}
		return found
	})
}

// keepMissing keeps the differences of every closed study of which none are kept.
func (s *Service) keepMissing(ctx context.Context) error {
	missing, err := s.store.DifferencesMissing(ctx)
	if err != nil {
		return err
	}
	for _, id := range missing {
		// It may be deleted meanwhile.
		if err := s.keepDifferences(ctx, id); err != nil && !errors.Is(err, ErrNotFound) {
			return fmt.Errorf("keep differences of study %s: %w", id, err)
		}
	}
	return nil
}

// EarlierSpread is the spread that closed studies of this service tell of one that
// is planned; its SD is 0 when they tell none. Who has roles in single studies is told of those
// alone.
func (s *Service) EarlierSpread(ctx context.Context, by Session, asked *study.Study) (analysis.Spread, error) {
	like, ok := analysis.Like(asked)
	if !ok {
		return analysis.Spread{}, nil
	}
	if err := s.keepMissing(ctx); err != nil {
		return analysis.Spread{}, err
	}
	var of UserID
	if by.House == RoleNamed {
		of = by.UserID
	}
	found, err := s.store.FoundDifferences(ctx, like, of)
	if err != nil {
		return analysis.Spread{}, err
	}
	spread, _ := analysis.EarlierSpread(asked, found)
	return spread, nil
}
