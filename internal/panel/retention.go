package panel

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"cloche/internal/analysis"
)

// Deletion is how a study is deleted.
type Deletion struct {
	Unexported bool         // even when something has changed since it was last exported
	Keep       *JoinedStudy // what stays in the house's record beside its differences; nil = neither
}

// Sayer says in each language what a study found, as [VerdictLine] keeps it, and on how many people it rests.
type Sayer func(Study, *analysis.Result) (said string, people int)

// DeleteOld deletes every study that was closed, or came from another service, so many days ago, exported or
// not, as [Service.Delete] does; none while a guest may still take answers out, and none that a later version
// rests on. A verdict that cannot be worked out keeps no study: its entry in the log says that it is lost.
// It returns how many studies that were; what failed for one does not keep the others.
func (s *Service) DeleteOld(ctx context.Context, days int, say Sayer) (int, error) {
	all, err := s.store.Studies(ctx)
	if err != nil {
		return 0, err
	}
	came, err := s.cameHere(ctx, all)
	if err != nil {
		return 0, err
	}
	slices.SortStableFunc(all, func(a, b Study) int { return b.Version - a.Version }) // the last version goes first
	n := 0
	var failed error
	stays := map[StudyID]bool{} // a version of the series that was looked at
	for _, x := range all {
		since := later(x.ClosedAt, came[x.Series])
		if stays[x.Series] || x.State != Closed || s.now().Before(since.AddDate(0, 0, days)) {
			stays[x.Series] = true
			continue
		}
		switch err := s.deleteOld(ctx, x.ID, days, say); {
		case err == nil:
			n++
		case isMissing(err): // another process that works on this database was first
		default:
			stays[x.Series] = true
			if !errors.Is(err, ErrAmended) && !errors.Is(err, errNotDue) {
				failed = errors.Join(failed, err)
			}
		}
	}
	return n, failed
}

// errNotDue says that a guest may still take answers out of a study that is old enough.
var errNotDue = errors.New("the study is not due yet")

// deleteOld deletes a study that is old enough; errNotDue while a guest may still take answers out.
func (s *Service) deleteOld(ctx context.Context, id StudyID, days int, say Sayer) error {
	stored, err := s.Study(ctx, id)
	if err != nil {
		return err
	}
	if s.now().Before(stored.WhenDue(days)) {
		return errNotDue
	}
	how, lost := Deletion{Unexported: true}, ""
	if say != nil {
		how.Keep, err = s.verdictOf(ctx, id, say)
		switch {
		case err == nil:
		case ctx.Err() != nil || isMissing(err):
			return err
		default:
			lost = fmt.Sprintf(", without its verdict, which cannot be worked out: %v", err)
		}
	}
	return s.delete(ctx, stored, how, lost, "the service")
}

// cameHere is when studies came from another service, by series: what the log of the service says.
func (s *Service) cameHere(ctx context.Context, all []Study) (map[StudyID]time.Time, error) {
	log, err := s.store.Events(ctx, "")
	if err != nil {
		return nil, err
	}
	said := map[string]time.Time{}
	for _, e := range log {
		if e.What == whatReceived {
			said[e.Detail] = e.At
		}
	}
	came := map[StudyID]time.Time{}
	for _, x := range all {
		came[x.Series] = later(came[x.Series], said[receivedText(x.ID)])
	}
	return came, nil
}

// delete deletes a study; more is what its entry in the log says beside what the study was.
func (s *Service) delete(ctx context.Context, stored Study, how Deletion, more, who string) error {
	id, title := stored.ID, stored.Spec.Title
	if how.Keep != nil {
		more += ", its verdict stays in the record"
	}
	err := s.store.DeleteStudy(ctx, id, how, func(gone Study, p Progress, end LogEnd) Event {
		return s.event("", who, "study deleted", tombstone(title, gone, p)+", log to "+end.String()+more)
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
