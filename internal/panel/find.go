package panel

import (
	"context"
	"fmt"
	"strconv"

	"cloche/internal/analysis"
)

// Ratings returns the ratings of a closed study. [ErrWrongState] before: the
// key stays shut until the last rating is in.
func (s *Service) Ratings(ctx context.Context, studyID string) (Study, []analysis.Rating, error) {
	kept, err := s.Study(ctx, studyID)
	if err != nil {
		return Study{}, nil, err
	}
	if kept.State != Closed {
		return Study{}, nil, ErrWrongState
	}
	rated, err := s.store.RatedAll(ctx, studyID)
	if err != nil {
		return Study{}, nil, err
	}
	out := make([]analysis.Rating, len(rated))
	for i, r := range rated {
		out[i] = analysis.Rating{
			Assessor: strconv.Itoa(r.Place + 1), Position: r.Position, Code: r.Code,
			Sample: r.Sample, Attribute: r.Attribute, Value: r.Value,
		}
	}
	return kept, out, nil
}

// Findings analyses a closed study. [ErrWrongState] before it is closed.
func (s *Service) Findings(ctx context.Context, studyID string) (Study, *analysis.Result, error) {
	kept, ratings, err := s.Ratings(ctx, studyID)
	if err != nil {
		return Study{}, nil, err
	}
	found, err := analysis.Analyse(kept.Asked, ratings, analysis.Options{PlanHash: kept.Lock.PlanHash})
	if err != nil {
		return Study{}, nil, fmt.Errorf("analyse study: %w", err)
	}
	return kept, found, nil
}
