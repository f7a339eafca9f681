package panel

import (
	"context"
	"fmt"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// Welcome returns what a person reads before consent at the sitting of a join
// link. [ErrNotFound] when there is no such link.
func (s *Service) Welcome(ctx context.Context, join JoinToken) (Welcome, error) {
	sitting, stored, err := s.joined(ctx, join)
	if err != nil {
		return Welcome{}, err
	}
	w := newWelcome(spoken(ctx, stored.Spec), stored.Spec.Languages)
	w.AskWord = sitting.AskWord
	if w.Stand, err = s.stand(ctx, stored); err != nil {
		return w, err
	}
	if stored.Ending().Closing() {
		w.Stand = StandOver // for whoever comes now
	}
	if w.Stand == StandOpen {
		w.Full, err = s.full(ctx, stored, sitting)
	}
	return w, err
}

// newWelcome is what a study says before consent, in the language that it is asked in.
func newWelcome(a *study.Study, offered []string) Welcome {
	w := Welcome{
		Language: a.Languages[0], Languages: offered,
		Greeting: a.Texts.Welcome, Consent: a.Texts.Consent, Invented: a.Invented,
	}
	w.Contents, w.Age, w.Strata = a.Contents(), ageAsked(a), strataAsks(a)
	// a locked study has a design; a draft that has none says no time
	if cost, err := analysis.CostOf(a, 1); err == nil {
		w.Minutes, w.Sittings = cost.Minutes, cost.Attends
	}
	return w
}

func (s *Service) joined(ctx context.Context, join JoinToken) (Sitting, Study, error) {
	sitting, err := s.store.SittingByJoin(ctx, join)
	if err != nil {
		return Sitting{}, Study{}, err
	}
	stored, err := s.Study(ctx, sitting.StudyID)
	stored.State = sitting.stateIn(stored)
	return sitting, stored, err
}

// full reports whether every place of the sitting is taken.
func (s *Service) full(ctx context.Context, stored Study, sitting Sitting) (bool, error) {
	free, err := s.store.FreePlaces(ctx, stored.ID, sitting.Number)
	return free == 0, err
}

// Consent seats a person who agreed, and returns the token of the personal
// link. The same nonce again returns the same token. [ErrAge] when the study asks
// for an age that is not confirmed, [ErrStratum] when what decides the stratum is not
// answered, [ErrFull] and [ErrNotOpen] as they say.
func (s *Service) Consent(ctx context.Context, join JoinToken, nonce string, given PhoneConsent) (token SeatToken,
	err error) {
	sitting, stored, err := s.joined(ctx, join)
	if err != nil {
		return "", err
	}
	if stored.Ending().Closing() {
		return "", ErrNotOpen
	}
	if stored.Spec.AsksAge() && !given.OldEnough {
		return "", ErrAge
	}
	dealing, err := s.dealing(stored, given.Levels)
	if err != nil {
		return "", err
	}
	token = SeatToken(s.derive("seat", string(sitting.ID), nonce))
	id, err := s.token(12)
	if err != nil {
		return "", err
	}
	a := Assessor{ID: AssessorID(id), StudyID: sitting.StudyID, SittingID: sitting.ID, JoinedAt: s.now(), Phone: true,
		Language: beganIn(ctx, stored.Spec), Table: given.Table}
	a.Alike = stored.Spec.Serving.AtOneTable == study.SameOrder
	_, err = s.store.Seat(ctx, a, hash(token), dealing, func(seated Assessor) Event {
		return s.event(sitting.StudyID, seated.nameInLog(), eventConsented, began(seated.Language))
	})
	if err != nil {
		return "", fmt.Errorf("seat an assessor: %w", err)
	}
	s.changed(sitting.StudyID)
	return token, nil
}

// Decline counts a person who said no, and why where they say so, then or with the same nonce
// later. Nothing about the person is kept: the log has no reasons.
func (s *Service) Decline(ctx context.Context, join JoinToken, nonce string, why WhyNot) error {
	sitting, err := s.store.SittingByJoin(ctx, join)
	if err != nil {
		return err
	}
	return s.decline(ctx, sitting, "a guest", nonce, why)
}

// GuestSaidNo counts a person without a phone who said no, as [Service.Decline] does.
func (s *Service) GuestSaidNo(ctx context.Context, by Session, nonce string, why WhyNot) error {
	sitting, _, err := s.at(ctx, by, ActServe)
	if err != nil {
		return err
	}
	return s.decline(ctx, sitting, by.Who(), nonce, why)
}

func (s *Service) decline(ctx context.Context, sitting Sitting, who, nonce string, why WhyNot) error {
	if !why.known() {
		why = ""
	}
	e := s.event(sitting.StudyID, who, "declined", fmt.Sprintf("sitting %d", sitting.Number))
	if err := s.store.Decline(ctx, sitting.ID, hash(nonce), why, s.now(), e); err != nil {
		return fmt.Errorf("count a decline: %w", err)
	}
	s.changed(sitting.StudyID)
	return nil
}

// SeatedAt reports whether token is the link of an assessor who tastes at the
// sitting of join, so that a phone that opens the join link again goes on where
// it was, at a later sitting too.
func (s *Service) SeatedAt(ctx context.Context, token SeatToken, join JoinToken) bool {
	sitting, err := s.store.SittingByJoin(ctx, join)
	if err != nil {
		return false
	}
	t, err := s.seatOfLink(ctx, token)
	if err != nil || t.assessor.StudyID != sitting.StudyID {
		return false
	}
	return t.assessor.SittingID == sitting.ID || t.tastesAt(sitting.Number)
}

// Start notes that the assessor has read the instructions. It does nothing before
// the screening questions are answered.
func (s *Service) Start(ctx context.Context, token SeatToken) error {
	t, err := s.seatOfLink(ctx, token)
	if err != nil || t.stage(s.now()) == StageScreening {
		return err
	}
	a := t.assessor
	if err := s.store.Start(ctx, a.ID, s.now()); err != nil {
		return err
	}
	s.changed(a.StudyID)
	return nil
}
