package panel

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"cloche/internal/analysis"
)

// Deletion is how a study is deleted.
type Deletion struct {
	Unexported bool         // even when something has changed since it was last exported
	Keep       *JoinedStudy // what stays in the house's record beside its differences; nil = neither
}

// Sayer says in each language what a study found, as [VerdictLine] keeps it, and on how many people it rests.
type Sayer func(Study, *analysis.Result) (said string, people int)

// DeleteOld deletes every study that was closed so many days ago, exported or not, as [Service.Delete] does;
// none while a guest may still take answers out, and none that a later version rests on.
// It returns how many studies that were; what failed for one does not keep the others.
func (s *Service) DeleteOld(ctx context.Context, days int, say Sayer) (int, error) {
	all, err := s.store.Studies(ctx)
	if err != nil {
		return 0, err
	}
	slices.SortStableFunc(all, func(a, b Study) int { return b.Version - a.Version }) // the last version goes first
	n := 0
	var failed error
	for _, x := range all {
		if x.State != Closed || s.now().Before(x.ClosedAt.AddDate(0, 0, days)) {
			continue
		}
		stored, err := s.Study(ctx, x.ID)
		if err == nil && s.now().Before(stored.WhenDue(days)) {
			continue
		}
		if err == nil {
			err = s.delete(ctx, stored, Deletion{Unexported: true}, say, "the service")
		}
		switch {
		case err == nil:
			n++
		case !errors.Is(err, ErrAmended):
			failed = errors.Join(failed, err)
		}
	}
	return n, failed
}

// delete deletes a study once what is to stay of it is known.
func (s *Service) delete(ctx context.Context, stored Study, how Deletion, say Sayer, who string) error {
	id, kept := stored.ID, ""
	if say != nil && stored.State == Closed {
		var err error
		if how.Keep, err = s.verdictOf(ctx, id, say); err != nil {
			return fmt.Errorf("keep the verdict of study %s: %w", id, err)
		}
	}
	if how.Keep != nil {
		kept = ", its verdict stays in the record"
	}
	title := stored.Spec.Title
	err := s.store.DeleteStudy(ctx, id, how, func(gone Study, p Progress, end LogEnd) Event {
		return s.event("", who, "study deleted", tombstone(title, gone, p)+", log to "+end.String()+kept)
	})
	if err != nil {
		return fmt.Errorf("delete a study: %w", err)
	}
	s.read.Delete(id)
	s.changed(id)
	return nil
}

// verdictOf is what stays in the record of a closed study; nil when nobody had rated anything.
func (s *Service) verdictOf(ctx context.Context, id StudyID, say Sayer) (*JoinedStudy, error) {
	stored, found, err := s.Findings(ctx, id)
	switch {
	case errors.Is(err, analysis.ErrNoRatings):
		return nil, nil
	case err != nil:
		return nil, err
	}
	if err := s.keepDifferences(ctx, id); err != nil {
		return nil, err
	}
	kept := &JoinedStudy{ID: JoinedID(id), Origin: id, ClosedAt: stored.ClosedAt, Title: stored.Spec.Title,
		Invented: stored.Spec.Invented}
	kept.Said, kept.People = say(stored, found)
	return kept, nil
}

// KeptVerdicts returns what the record keeps of deleted studies, what was closed last first.
func (s *Service) KeptVerdicts(ctx context.Context, by Session) ([]JoinedStudy, error) {
	if May(by.Role, KnowRatings, Closed) != Whole {
		return nil, ErrRefused
	}
	return s.store.KeptVerdicts(ctx)
}
