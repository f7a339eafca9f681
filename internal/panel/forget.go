package panel

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// ForgetGuests deletes, of every study that was closed so many days ago, what could tell who
// a guest was: their personal link, where they sat, what they wrote in their own words. Their
// answers stay, under a number, so that the report and the data stay what they are. A guest
// who may still take the answers out needs the link for it: it stays until then.
// It returns how many studies that were; what failed for one does not keep the others.
func (s *Service) ForgetGuests(ctx context.Context, days int) (int, error) {
	all, err := s.store.Studies(ctx)
	if err != nil {
		return 0, err
	}
	n := 0
	var failed error
	for _, x := range all {
		if x.State != Closed || !x.ForgottenAt.IsZero() || s.now().Before(x.ClosedAt.AddDate(0, 0, days)) {
			continue
		}
		gone, err := s.forgetGuestsOf(ctx, x.ID, days)
		if gone {
			n++
		}
		failed = errors.Join(failed, err)
	}
	return n, failed
}

func (s *Service) forgetGuestsOf(ctx context.Context, id StudyID, days int) (bool, error) {
	stored, err := s.Study(ctx, id)
	if err != nil || s.now().Before(stored.WhenDue(days)) {
		return false, err
	}
	e := s.event(id, "the service", "guests forgotten", "links, places and comments")
	if err := s.store.ForgetGuests(ctx, id, s.now(), e); err != nil {
		return false, fmt.Errorf("forget the guests of study %s: %w", id, err)
	}
	s.changed(id)
	return true, nil
}

// WhenDue returns when the guests of a closed study are forgotten, or it is deleted, in a service that
// does so after so many days.
func (s Study) WhenDue(days int) time.Time {
	due, last := s.ClosedAt.AddDate(0, 0, days), s.WithdrawUntil()
	if last.After(due) {
		return last
	}
	return due
}
