package panel

import (
	"context"
	"fmt"
	"io"
)

// WriteWhole writes all that is kept of a closed study, to move it to another service: see
// [StudyStore].
func (s *Service) WriteWhole(ctx context.Context, id StudyID, w io.Writer) error {
	return s.store.WriteWhole(ctx, id, w)
}

// TakeWhole adds a study that another service closed, with its whole record. Its own log stays as
// it was; the service's log says that it came. Lead only; [ErrThere] when it is here already.
func (s *Service) TakeWhole(ctx context.Context, by Session, id StudyID, lines []byte) error {
	if err := by.may(ActBegin); err != nil {
		return err
	}
	e := s.event("", by.Who(), "study received", fmt.Sprintf("study %s, from another service", id))
	if err := s.store.TakeWhole(ctx, id, lines, e); err != nil {
		return fmt.Errorf("take a whole study: %w", err)
	}
	s.changed(id)
	return nil
}
