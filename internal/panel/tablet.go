package panel

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"math/big"
	"time"
)

// HandTabletLasts is for how long a code opens a guest's ballot on the house's tablet.
const HandTabletLasts = HandOverLasts

// The house's tablet is any device that holds no other role: floor shows a code for a seat,
// and who types it there opens that guest's ballot under a link of its own. The link is a
// session of [RoleTablet]; once it has ended nothing leads back to the ballot from there.

// HandTablet returns a code of six digits that opens the ballot of a seat on the house's
// tablet, once.
func (s *Service) HandTablet(ctx context.Context, by Session, seatID AssessorID) (TabletCode, error) {
	if _, _, err := s.at(ctx, by, ActLend); err != nil {
		return "", err
	}
	t, err := s.seatFor(ctx, by, seatID)
	if err != nil {
		return "", err
	}
	if !t.assessor.WithdrawnAt.IsZero() {
		return "", ErrWithdrawn
	}
	n, err := rand.Int(s.random, big.NewInt(1_000_000))
	if err != nil {
		return "", err
	}
	code := TabletCode(fmt.Sprintf("%06d", n))
	shown := handed{by: by, at: s.now(), seat: t.assessor.ID}
	s.tablets.keep(hash(code), shown)
	s.tellOthers(message{At: shown.at, Shown: &shownWay{Token: hash(code), By: by, Seat: shown.seat}})
	return code, nil
}

// HandTabletTo is [Service.HandTablet] by the lead, for the guest with a number, at the last of
// the opened sittings at which they taste. [ErrNotFound] when there is none.
func (s *Service) HandTabletTo(ctx context.Context, by Session, studyID StudyID, label int) (TabletCode, error) {
	if err := by.may(ActLend); err != nil {
		return "", err
	}
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return "", err
	}
	if err := by.mayNow(ActLend, stored.State); err != nil {
		return "", err
	}
	people, err := s.store.Assessors(ctx, studyID)
	if err != nil {
		return "", err
	}
	sittings, err := s.openedSittings(ctx, studyID)
	if err != nil {
		return "", err
	}
	for _, a := range people {
		for i := len(sittings) - 1; i >= 0 && a.Label() == label; i-- {
			by.SittingID = sittings[i].ID
			if code, err := s.HandTablet(ctx, by, a.ID); !errors.Is(err, ErrNotFound) {
				return code, err
			}
		}
	}
	return "", ErrNotFound
}

// TakeTablet opens the ballot of the seat that floor showed a code for, and returns the
// token of its link on this device. from is the caller's address: wrong codes slow it down
// ([ErrSlowDown]). others are the sessions that the device holds: [ErrOtherRole] when it is
// somebody's of the house, whose pages a guest would hold in the hand. [ErrCode] when the
// code is wrong, was used or is too old; [ErrNotOpen] when the tasting is over.
func (s *Service) TakeTablet(ctx context.Context, code TabletCode, from string, others ...Session) (SeatToken, error) {
	for _, other := range others {
		if other.Role != RoleTablet {
			return "", ErrOtherRole
		}
	}
	var shown handed
	err := s.slow.attempt(ctx, from, "the house's tablet", func() (right bool, err error) {
		shown, right = s.tablets.take(hash(code), s.now())
		return right, nil
	})
	if errors.Is(err, errWrong) {
		return "", ErrCode
	}
	if err != nil {
		return "", err
	}
	s.tellOthers(message{Used: hash(code)})
	_, stored, err := s.at(ctx, shown.by, ActLend)
	if err != nil {
		return "", err
	}
	t, err := s.seatFor(ctx, shown.by, shown.seat)
	if err != nil {
		return "", err
	}
	token, err := s.token(32)
	if err != nil {
		return "", err
	}
	now := s.now()
	lent := Session{Role: RoleTablet, StudyID: stored.ID, SittingID: shown.by.SittingID, Seat: t.assessor.ID,
		Expires: now.Add(SessionLength)}
	e := s.event(stored.ID, shown.by.Who(), "tablet handed to a guest", t.assessor.nameInLog())
	if err := s.store.Lend(ctx, hash(token), lent, now, e); err != nil {
		return "", fmt.Errorf("hand the tablet over: %w", err)
	}
	s.changedAt(t)
	return SeatToken(token), nil
}

// LanguageOf is the language in which the guest of a link reads, BCP 47; "" when neither their
// phone nor floor said one.
func (s *Service) LanguageOf(ctx context.Context, token SeatToken) (string, error) {
	a, err := s.assessorByLink(ctx, token)
	return a.Language, err
}

// GiveBack ends what the house's tablet shows of a ballot, at the tablet. It does nothing for other links.
func (s *Service) GiveBack(ctx context.Context, token SeatToken) error {
	lent, err := s.Session(ctx, SessionToken(token))
	if isMissing(err) || err == nil && lent.Role != RoleTablet {
		return nil
	}
	if err != nil {
		return err
	}
	return s.endLoan(ctx, lent.StudyID, lent.Seat, lent.Who())
}

// TakeTabletBack ends what the house's tablet shows of a seat's ballot, from the floor. It does
// nothing when no tablet shows it.
func (s *Service) TakeTabletBack(ctx context.Context, by Session, seatID AssessorID) error {
	if _, _, err := s.at(ctx, by, ActLend); err != nil {
		return err
	}
	t, err := s.seatFor(ctx, by, seatID)
	if err != nil {
		return err
	}
	return s.endLoan(ctx, t.study.ID, t.assessor.ID, by.Who())
}

func (s *Service) endLoan(ctx context.Context, studyID StudyID, seatID AssessorID, who string) error {
	a, err := s.store.Assessor(ctx, seatID)
	if isMissing(err) { // the place was freed meanwhile
		a = Assessor{ID: seatID}
	} else if err != nil {
		return err
	}
	e := s.event(studyID, who, "tablet taken back", a.nameInLog())
	err = s.store.EndLoan(ctx, seatID, e)
	if isMissing(err) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("take the tablet back: %w", err)
	}
	s.changed(studyID)
	s.tellPhone(seatID)
	return nil
}

// seatByLink reads the seat of a personal link, or of a link of the house's tablet.
func (s *Service) seatByLink(ctx context.Context, token SeatToken) (r SeatRecord, lent bool, err error) {
	r, err = s.store.SeatByToken(ctx, hash(token))
	if !isMissing(err) {
		return r, false, err
	}
	of, lentErr := s.store.LentSeat(ctx, hash(token), s.now())
	if lentErr != nil {
		return r, false, err
	}
	r, err = s.store.SeatByToken(ctx, of)
	return r, true, err
}

// assessorByLink is [Service.seatByLink] for the assessor alone.
func (s *Service) assessorByLink(ctx context.Context, token SeatToken) (Assessor, error) {
	a, err := s.store.AssessorByToken(ctx, hash(token))
	if !isMissing(err) {
		return a, err
	}
	of, lentErr := s.store.LentSeat(ctx, hash(token), s.now())
	if lentErr != nil {
		return a, err
	}
	return s.store.AssessorByToken(ctx, of)
}

// lentAt returns at which seats of a sitting the house's tablets are.
func (s *Service) lentAt(ctx context.Context, sittingID SittingID, now time.Time) (map[AssessorID]bool, error) {
	seats, err := s.store.Lent(ctx, sittingID, now)
	lent := map[AssessorID]bool{}
	for _, id := range seats {
		lent[id] = true
	}
	return lent, err
}
