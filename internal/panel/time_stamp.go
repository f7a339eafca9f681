package panel

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"math/big"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/stamp"
)

// TimeStamp is the request to an outside authority for a time stamp of what was locked, with
// its answer. The zero value is none.
type TimeStamp struct {
	Request     []byte // as RFC 3161 has it, in DER
	RequestedAt time.Time
	Answer      []byte // as it came; none until it did
	AnsweredAt  time.Time
}

// Stamped is what the answer says. [*stamp.Refusal] when there is none that answers the request.
func (t TimeStamp) Stamped() (stamp.Stamp, error) { return stamp.Check(t.Request, t.Answer) }

// clockTolerance is how far the authority's clock and that of this service may be apart. A
// restaurant's machine may go without a network for weeks; clocks drift by seconds a day.
const clockTolerance = 5 * time.Minute

// LockedSums names what was locked by its SHA-256, as sha256sum does: what a time stamp is of.
func LockedSums(stored Study) []byte {
	return fmt.Appendf(nil, "%s  study.json\n%s  serving-plan.txt\n", stored.Lock.StudyHash, stored.Lock.PlanHash)
}

// TimeStamp returns the request and the answer of a study; the zero value when nobody has asked.
func (s *Service) TimeStamp(ctx context.Context, id StudyID) (TimeStamp, error) {
	t, err := s.store.TimeStamp(ctx, id)
	if isMissing(err) {
		return TimeStamp{}, nil
	}
	return t, err
}

// RequestStamp makes the request for a time stamp of what was locked; the one that is there
// stays. Nothing is sent. Lead only; [ErrWrongState] of a draft.
func (s *Service) RequestStamp(ctx context.Context, by Session, id StudyID) error {
	stored, err := s.store.Study(ctx, id)
	if err != nil {
		return err
	}
	if err := by.mayNow(ActStamp, stored.State); err != nil {
		return err
	}
	random := make([]byte, 8) // as many as usual: some authorities take no more
	if _, err := io.ReadFull(s.random, random); err != nil {
		return fmt.Errorf("request a time stamp: %w", err)
	}
	random[0] |= 1 // never 0
	request, err := stamp.Request(sha256.Sum256(LockedSums(stored)), new(big.Int).SetBytes(random))
	if err != nil {
		return err
	}
	at := s.now()
	e := s.event(id, by.Who(), "time stamp requested", fmt.Sprintf("of study %s, plan %s", stored.Lock.StudyHash,
		stored.Lock.PlanHash))
	if err := s.store.RequestStamp(ctx, id, request, at, e); err != nil {
		return fmt.Errorf("request a time stamp: %w", err)
	}
	return nil
}

// KeepStamp checks the answer of an authority and keeps it, once. Lead only. Errors:
// [*stamp.Refusal] when it is not the answer to the request or its time cannot be;
// [ErrWrongState] when there is no request, or an answer already.
func (s *Service) KeepStamp(ctx context.Context, by Session, id StudyID, answer []byte) error {
	stored, err := s.store.Study(ctx, id)
	if err != nil {
		return err
	}
	if err := by.mayNow(ActStamp, stored.State); err != nil {
		return err
	}
	kept, err := s.store.TimeStamp(ctx, id)
	switch {
	case isMissing(err), err == nil && len(kept.Answer) > 0:
		return ErrWrongState
	case err != nil:
		return err
	}
	kept.Answer = answer
	said, err := kept.Stamped()
	if err != nil {
		return err
	}
	now := s.now()
	if err := possible(said, stored.Lock.At, now); err != nil {
		return err
	}
	e := s.event(id, by.Who(), "time stamped", fmt.Sprintf("%s by %s, certificate %s (SHA-256)", timeText(said.At),
		said.Authority, said.Fingerprint))
	if err := s.store.KeepStamp(ctx, id, answer, now, e); err != nil {
		return fmt.Errorf("keep a time stamp: %w", err)
	}
	s.changed(id)
	return nil
}

// possible holds the time of a stamp to this service's clock: what it is of was locked before.
func possible(said stamp.Stamp, locked, now time.Time) error {
	apart := clockTolerance + said.Accuracy
	switch {
	case said.At.Add(apart).Before(locked):
		return &stamp.Refusal{What: "the stamp is of %s, and the plan was locked at %s by this service’s clock: " +
			"one of the two clocks is wrong", Values: []any{timeText(said.At), timeText(locked)},
			Instead: "compare this machine’s clock with a right one; if it is right, have the request file " +
				"stamped by another authority"}
	case said.At.After(now.Add(apart)):
		return &stamp.Refusal{What: "the stamp is of %s, and it is %s by this service’s clock: " +
			"one of the two clocks is wrong", Values: []any{timeText(said.At), timeText(now)},
			Instead: "set this machine’s clock if it is slow, and choose the file again; otherwise have the " +
				"request file stamped by another authority"}
	}
	return nil
}

// Stamped is what the answer of an authority says of what was locked; nil when there is none.
func (s *Service) Stamped(ctx context.Context, id StudyID) (*analysis.TimeStamp, error) {
	kept, err := s.TimeStamp(ctx, id)
	if err != nil || len(kept.Answer) == 0 {
		return nil, err
	}
	said, err := kept.Stamped()
	var refused *stamp.Refusal
	if errors.As(err, &refused) { // a later release that is stricter: the files are there for whoever wants them
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	opened, err := s.firstOpened(ctx, id)
	if err != nil {
		return nil, err
	}
	return &analysis.TimeStamp{At: timeText(said.At), Authority: said.Authority, Issuer: said.Issuer,
		Fingerprint: said.Fingerprint, BeforeOpening: opened.IsZero() || said.At.Before(opened)}, nil
}

// firstOpened is when the first sitting of a study was opened; zero when none was.
func (s *Service) firstOpened(ctx context.Context, id StudyID) (first time.Time, err error) {
	sittings, err := s.store.Sittings(ctx, id)
	for _, x := range sittings {
		if !x.OpenedAt.IsZero() && (first.IsZero() || x.OpenedAt.Before(first)) {
			first = x.OpenedAt
		}
	}
	return first, err
}
