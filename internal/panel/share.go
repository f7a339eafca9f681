package panel

import (
	"context"
	"crypto/subtle"
	"fmt"
	"time"

	"cloche/internal/analysis"
)

// SharedToken is what the link of a shared report ends with.
type SharedToken string

// The days for which a report can be shared.
const (
	ShareDays    = 30 // unless somebody says otherwise
	MaxShareDays = 365
)

// Shared is the link of a report that is shared. The zero value is none.
type Shared struct {
	Token SharedToken
	Ends  time.Time
}

// ShareReport makes a link under which anybody can read the report of a closed study for
// some days, without signing in. An earlier link ends. Lead only.
func (s *Service) ShareReport(ctx context.Context, by Session, id StudyID, days int) error {
	if err := by.may(ActShare); err != nil {
		return err
	}
	if days < 1 || days > MaxShareDays {
		return ErrBadValue
	}
	// To the microsecond, as databases keep it: the link is made of it.
	ends := s.now().AddDate(0, 0, days).UTC().Truncate(time.Microsecond)
	return s.store.ShareReport(ctx, id, ends,
		s.event(id, by.Who(), "report shared", fmt.Sprintf("for %d days", days)))
}

// SharedLink is the link under which the report of a study is shared; the zero value
// when it is not, or no longer.
func (s *Service) SharedLink(ctx context.Context, by Session, id StudyID) (Shared, error) {
	if err := by.may(ActShare); err != nil {
		return Shared{}, err
	}
	ends, err := s.store.SharedUntil(ctx, id)
	switch {
	case isMissing(err), err == nil && !s.now().Before(ends):
		return Shared{}, nil
	case err != nil:
		return Shared{}, err
	}
	return Shared{s.sharedToken(id, ends), ends}, nil
}

// EndSharing takes the link of a report back. Lead only.
func (s *Service) EndSharing(ctx context.Context, by Session, id StudyID) error {
	if err := by.may(ActShare); err != nil {
		return err
	}
	return s.store.EndSharing(ctx, id, s.event(id, by.Who(), "report no longer shared", ""))
}

// SharedFindings are those of a study to whoever has the link of its report.
// [ErrNotFound] when the link is another's, was taken back or has ended.
func (s *Service) SharedFindings(ctx context.Context, id StudyID, token SharedToken) (Study, *analysis.Result, error) {
	ends, err := s.store.SharedUntil(ctx, id)
	if err != nil {
		return Study{}, nil, err
	}
	if subtle.ConstantTimeCompare([]byte(token), []byte(s.sharedToken(id, ends))) != 1 || !s.now().Before(ends) {
		return Study{}, nil, ErrNotFound
	}
	return s.Findings(ctx, id)
}

func (s *Service) sharedToken(id StudyID, ends time.Time) SharedToken {
	return SharedToken(s.derive("shared report", string(id), ends.UTC().Format(time.RFC3339Nano)))
}
