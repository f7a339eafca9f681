package panel

import (
	"context"
	"fmt"
	"time"
)

// WithdrawUntil returns until when answers can be taken out; zero while a study is
// not closed, and when it lets nobody do so afterwards.
func (s Study) WithdrawUntil() time.Time {
	days := s.Spec.Panel.WithdrawalDays
	if s.State != Closed || days == 0 {
		return time.Time{}
	}
	return s.ClosedAt.AddDate(0, 0, days)
}

// mayWithdraw reports whether answers can be taken out of a study.
func (s Study) mayWithdraw(now time.Time) bool {
	return s.State == Open || now.Before(s.WithdrawUntil())
}

// MayWithdraw reports whether answers can be taken out of a study now.
func (s *Service) MayWithdraw(stored Study) bool { return stored.mayWithdraw(s.now()) }

// Withdraw takes the answers of the assessor of a personal link out, for good:
// ratings, comments, what was corrected and what came late. After the close that
// makes another version of the findings. [ErrNotOpen] before a study is open and
// once the time for it is over.
func (s *Service) Withdraw(ctx context.Context, token SeatToken) error {
	a, err := s.assessorByLink(ctx, token)
	if err != nil {
		return err
	}
	return s.withdraw(ctx, a, a.nameInLog())
}

// Stop ends the tasting of the assessor of a personal link by their own wish. The
// answers stay; nothing more is served. It does nothing when their tasting is over.
func (s *Service) Stop(ctx context.Context, token SeatToken) error {
	t, err := s.seatOfLink(ctx, token)
	if err != nil || !t.mayStop(s.now()) {
		return err
	}
	now := s.now()
	e := s.event(t.study.ID, t.assessor.nameInLog(), "stopped", "by their own wish, answers kept")
	if err := s.store.NoteAssessor(ctx, t.assessor.ID, AssessorNote{Left: &now, LeftSelf: true}, e); err != nil {
		return fmt.Errorf("stop a tasting: %w", err)
	}
	s.changed(t.study.ID)
	return nil
}

// mayStop reports whether there is anything left to stop.
func (t seatState) mayStop(now time.Time) bool {
	switch t.stage(now) {
	case StageLast, StageDone, StageClosed, StageLeft, StageWithdrawn:
		return false
	}
	return true
}

// TakeOut is [Service.Withdraw] by the lead, for the assessor with a number who
// asks for it. [ErrNotFound] when there is none, [ErrWithdrawn] when it was done.
func (s *Service) TakeOut(ctx context.Context, by Session, studyID StudyID, label int) error {
	if err := by.may(ActTakeOut); err != nil {
		return err
	}
	people, err := s.store.Assessors(ctx, studyID)
	if err != nil {
		return err
	}
	for _, a := range people {
		switch {
		case a.Label() != label:
		case !a.WithdrawnAt.IsZero():
			return ErrWithdrawn
		default:
			return s.withdraw(ctx, a, by.Who())
		}
	}
	return ErrNotFound
}

func (s *Service) withdraw(ctx context.Context, a Assessor, by string) error {
	stored, err := s.Study(ctx, a.StudyID)
	if err != nil {
		return err
	}
	now := s.now()
	if !stored.mayWithdraw(now) {
		return ErrNotOpen
	}
	detail := ""
	if by != a.nameInLog() {
		detail = "asked for by " + a.nameInLog()
	}
	if err := s.store.Withdraw(ctx, a.ID, now, s.event(a.StudyID, by, "withdrew", detail)); err != nil {
		return fmt.Errorf("withdraw answers: %w", err)
	}
	s.changed(a.StudyID)
	s.WantVerdictLines()
	return nil
}
