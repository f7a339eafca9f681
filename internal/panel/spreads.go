package panel

import (
	"context"
	"errors"
	"fmt"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// keepSpreads keeps what the size of later studies needs of a closed one, so that
// nobody has to read its ratings again.
func (s *Service) keepSpreads(ctx context.Context, studyID StudyID) error {
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return err
	}
	people, err := s.store.Assessors(ctx, studyID)
	if err != nil {
		return err
	}
	return s.store.KeepSpreads(ctx, studyID, func(all []KeyedAnswer) []analysis.FoundSpread {
		if stored.Spec == nil {
			return nil
		}
		found, err := analysis.FoundSpreads(stored.Spec, ratings(all), screened(people))
		if err != nil {
			return nil // what cannot be analysed tells nothing, and stops no other study
		}
		return found
	})
}

// EarlierSpread is the spread that closed studies of this service tell of one that
// is planned; its SD is 0 when they tell none.
func (s *Service) EarlierSpread(ctx context.Context, asked *study.Study) (analysis.Spread, error) {
	like, ok := analysis.Like(asked)
	if !ok {
		return analysis.Spread{}, nil
	}
	missing, err := s.store.SpreadsMissing(ctx)
	if err != nil {
		return analysis.Spread{}, err
	}
	for _, id := range missing {
		if err := s.keepSpreads(ctx, id); err != nil && !errors.Is(err, ErrNotFound) { // it may be deleted meanwhile
			return analysis.Spread{}, fmt.Errorf("keep spreads of study %s: %w", id, err)
		}
	}
	found, err := s.store.FoundSpreads(ctx, like)
	if err != nil {
		return analysis.Spread{}, err
	}
	spread, _ := analysis.EarlierSpread(asked, found)
	return spread, nil
}
