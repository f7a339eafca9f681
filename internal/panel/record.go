package panel

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"cloche/internal/analysis"
)

// RecordedDifference is what is kept of a closed study: see [analysis.FoundDifference].
type RecordedDifference struct {
	Study    StudyID // "" when it is another house's
	ClosedAt time.Time
	Found    analysis.FoundDifference
	Joined   JoinedID // of another house's; else ""
	House    string
}

// JoinedID is of a study that another house found something in: SHA-256 of what was locked
// and of its ratings, so that none joins twice.
type JoinedID string

// JoinedStudy is a study of another house that joined the record, or what is kept of one that is deleted.
type JoinedStudy struct {
	ID       JoinedID
	Origin   StudyID // on the service that it comes from
	House    string  // whose it is, in the lead's words; "" = this house's own, which is deleted
	ClosedAt time.Time
	Found    []analysis.FoundDifference

	// Of the house's own alone, as [VerdictLine] has them.
	Title, Said string
	People      int
	Invented    bool
}

// MaxHouse is the longest name of a house, in characters.
const MaxHouse = 80

// JoinRecord lets what another house found stand in the record beside the house's own.
// [ErrNoHouse] when it does not say whose it is, [ErrOwnStudy] when it is a study of this
// service, [ErrJoined] when it stands there already.
func (s *Service) JoinRecord(ctx context.Context, by Session, j JoinedStudy) error {
	if err := by.may(ActJoinRecord); err != nil {
		return err
	}
	if j.House = strings.Join(strings.Fields(j.House), " "+
		""); j.House == "" || utf8.RuneCountInString(j.House) > MaxHouse {
		return ErrNoHouse
	}
	switch _, err := s.store.Study(ctx, j.Origin); {
	case err == nil:
		return ErrOwnStudy
	case !isMissing(err):
		return err
	}
	return s.store.JoinRecord(ctx, j, s.event("", by.Who(), "joined the record", j.House+": "+j.Found[0].Study))
}

// LeaveRecord takes a study of another house, or one that is deleted, out of the record. [ErrNotFound] when it
// is not there.
func (s *Service) LeaveRecord(ctx context.Context, by Session, id JoinedID) error {
	if err := by.may(ActJoinRecord); err != nil {
		return err
	}
	title, err := s.recordedTitle(ctx, id)
	if err != nil {
		return err
	}
	return s.store.LeaveRecord(ctx, id, s.event("", by.Who(), "left the record", title))
}

// recordedTitle is what the log calls a study that joined the record or was kept there; "" when there is none.
func (s *Service) recordedTitle(ctx context.Context, id JoinedID) (string, error) {
	kept, err := s.store.KeptVerdicts(ctx)
	if err != nil {
		return "", err
	}
	for _, k := range kept {
		if k.ID == id {
			return k.Title, nil
		}
	}
	joined, err := s.store.JoinedDifferences(ctx)
	for _, j := range joined {
		if j.Joined == id {
			return j.House + ": " + j.Found.Study, err
		}
	}
	return "", err
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
	joined, err := s.store.JoinedDifferences(ctx)
	if err != nil {
		return nil, fmt.Errorf("read the record: %w", err)
	}
	kept = append(kept, joined...)
	slices.SortStableFunc(kept, func(a, b RecordedDifference) int { return a.ClosedAt.Compare(b.ClosedAt) })
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
