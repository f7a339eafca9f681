package panel

import (
	"context"
	"fmt"
	"time"

	"cloche/internal/analysis"
)

// RecordedDifference is what is kept of a closed study: see [analysis.FoundDifference].
type RecordedDifference struct {
	Study    StudyID
	ClosedAt time.Time
	Found    analysis.FoundDifference
}

// QuestionRecord is what the house has found on one question.
type QuestionRecord struct {
	analysis.Record
	Kept []RecordedDifference // the studies of the record, in its order
}

// Record is what the closed studies of this service say together, question by question.
// Who may read it is whoever may read what each of them found.
func (s *Service) Record(ctx context.Context, by Session) ([]QuestionRecord, error) {
	if May(by.Role, KnowRatings, Closed) != Whole {
		return nil, ErrRefused
	}
	if err := s.keepMissing(ctx); err != nil {
		return nil, err
	}
	kept, err := s.store.AllDifferences(ctx)
	if err != nil {
		return nil, fmt.Errorf("read the record: %w", err)
	}
	found := make([]analysis.FoundDifference, len(kept))
	for i, k := range kept {
		found[i] = k.Found
	}
	var all []QuestionRecord
	for _, r := range analysis.Records(found) {
		q := QuestionRecord{Record: r}
		for _, at := range r.Places {
			q.Kept = append(q.Kept, kept[at])
		}
		all = append(all, q)
	}
	return all, nil
}
