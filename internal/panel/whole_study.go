package panel

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
)

// mostReadings is how often a study is read that changes meanwhile.
const mostReadings = 10

// ReadWhole returns all that is kept of a closed study, to move it to another service
// ([StudyStore]), as it stood while read read the same study in calls of its own: read runs
// again when anything changed meanwhile. [ErrChanging] when something always does.
func (s *Service) ReadWhole(ctx context.Context, id StudyID, read func() error) ([]byte, error) {
	for range mostReadings {
		var before bytes.Buffer
		if err := s.store.WriteWhole(ctx, id, &before); err != nil {
			return nil, err
		}
		if err := read(); err != nil {
			return nil, err
		}
		after := sha256.New()
		if err := s.store.WriteWhole(ctx, id, after); err != nil {
			return nil, err
		}
		if was := sha256.Sum256(before.Bytes()); bytes.Equal(after.Sum(nil), was[:]) {
			return before.Bytes(), nil
		}
	}
	return nil, fmt.Errorf("read a whole study: %w", ErrChanging)
}

// What the service's log says of a study that came; [Service.DeleteOld] counts from there.
const whatReceived = "study received"

func receivedText(id StudyID) string { return fmt.Sprintf("study %s, from another service", id) }

// TakeWhole adds a study that another service closed, with its whole record. Its own log stays as
// it was; the service's log says that it came. Lead only; [ErrThere] when it is here already.
func (s *Service) TakeWhole(ctx context.Context, by Session, id StudyID, lines []byte) error {
	if err := by.may(ActBegin); err != nil {
		return err
	}
	e := s.event("", by.Who(), whatReceived, receivedText(id))
	if err := s.store.TakeWhole(ctx, id, lines, e); err != nil {
		return fmt.Errorf("take a whole study: %w", err)
	}
	s.changed(id)
	s.WantVerdictLines()
	return nil
}
