package panel

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/binary"
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// StaffAccess is how kitchen or floor joins a sitting: a link, and the code that
// is valid now.
type StaffAccess struct {
	Role    Role
	Sitting int
	Link    StaffToken // token of the link
	Code    StaffCode  // six digits
	Joined  int        // how often somebody joined
}

// StaffWelcome is what somebody of the staff sees before the code: not even which
// study it is.
type StaffWelcome struct {
	Role    Role
	Sitting int
	Stand   Stand
}

// Stand says whether a sitting can be joined, to those who have its link.
type Stand int

// Where a sitting can stand.
const (
	StandOver     Stand = iota // closed
	StandOpen                  // people taste
	StandNotYet                // prepared: it opens later
	StandReplaced              // prepared for an earlier version of the study: it never opens
)

// MayJoin reports whether kitchen or floor may come in: the kitchen has labels to
// print before the sitting opens.
func (w StaffWelcome) MayJoin() bool { return mayJoin(w.Role, w.Stand) }

func mayJoin(r Role, at Stand) bool {
	return at == StandOpen || at == StandNotYet && r == RoleKitchen
}

// stand returns where a sitting stands whose study is in a state.
func (s *Service) stand(ctx context.Context, stored Study) (Stand, error) {
	switch stored.State {
	case Open:
		return StandOpen, nil
	case Closed:
		return StandOver, nil
	case Draft, Locked:
	}
	versions, err := s.store.Versions(ctx, stored.Series)
	for _, v := range versions {
		if v.Version > stored.Version && v.State != Draft {
			return StandReplaced, err
		}
	}
	return StandNotYet, err
}

// StaffAccess returns the links of kitchen and floor at a sitting with their
// codes. Lead only.
func (s *Service) StaffAccess(ctx context.Context, by Session, sittingID SittingID) ([]StaffAccess, error) {
	if err := by.may(ActAdmit); err != nil {
		return nil, err
	}
	sitting, err := s.store.Sitting(ctx, sittingID)
	if err != nil {
		return nil, err
	}
	var all []StaffAccess
	for _, r := range []Role{RoleKitchen, RoleFloor} {
		link, err := s.store.StaffLink(ctx, sittingID, r, hash(s.staffToken(sittingID, r, 0)))
		if err != nil {
			return nil, fmt.Errorf("read the link of %s: %w", r, err)
		}
		all = append(all, s.access(link, sitting.Number))
	}
	return all, nil
}

// RenewAccess gives kitchen or floor at a sitting a new link with a new code and ends
// the sessions that came through the old ones: whoever has the old link can do nothing
// with it, not even guess. Lead only.
func (s *Service) RenewAccess(ctx context.Context, by Session, sittingID SittingID, r Role) (StaffAccess, error) {
	if err := by.may(ActAdmit); err != nil {
		return StaffAccess{}, err
	}
	sitting, err := s.store.Sitting(ctx, sittingID)
	if err != nil {
		return StaffAccess{}, err
	}
	if r != RoleKitchen && r != RoleFloor {
		return StaffAccess{}, ErrNotFound
	}
	if _, err := s.store.StaffLink(ctx, sittingID, r, hash(s.staffToken(sittingID, r, 0))); err != nil {
		return StaffAccess{}, err
	}
	e := s.event(sitting.StudyID, by.Who(), "link and code renewed", fmt.Sprintf("%s, sitting %d", r, sitting.Number))
	link, err := s.store.RenewStaffLink(ctx, sittingID, r, func(renewals int) TokenHash {
		return hash(s.staffToken(sittingID, r, renewals))
	}, e)
	if err != nil {
		return StaffAccess{}, fmt.Errorf("renew link and code of %s: %w", r, err)
	}
	return s.access(link, sitting.Number), nil
}

func (s *Service) access(link StaffLink, number int) StaffAccess {
	return StaffAccess{Role: link.Role, Sitting: number, Joined: link.Joined,
		Link: s.staffToken(link.SittingID, link.Role, link.Renewals), Code: s.staffCode(link)}
}

// staffToken is the token of a staff link after so many renewals. It follows from the
// service's secret: the lead can be shown it again, and only its hash is looked up.
func (s *Service) staffToken(sittingID SittingID, r Role, renewals int) StaffToken {
	return StaffToken(s.derive("staff link", string(sittingID), r.String(), strconv.Itoa(renewals)))
}

// staffCode is the code of a link after so many renewals. It is kept nowhere, not
// even hashed: a hash of six digits is broken by trying them all. It follows from
// the service's secret, so that the lead can be shown it at any time.
func (s *Service) staffCode(l StaffLink) StaffCode {
	mac := hmac.New(sha256.New, s.secret)
	fmt.Fprintf(mac, "staff code/%s/%s/%d", l.SittingID, l.Role, l.Renewals)
	// 64 bits modulo a million: the bias is below 1 in 10¹³.
	return StaffCode(fmt.Sprintf("%06d", binary.BigEndian.Uint64(mac.Sum(nil))%1_000_000))
}

// StaffWelcome returns whose link it is. [ErrNotFound] when there is no such link.
func (s *Service) StaffWelcome(ctx context.Context, link StaffToken) (StaffWelcome, error) {
	found, err := s.store.StaffLinkByToken(ctx, hash(link))
	if err != nil {
		return StaffWelcome{}, err
	}
	sitting, stored, err := s.sitting(ctx, found.SittingID)
	if err != nil {
		return StaffWelcome{}, err
	}
	at, err := s.stand(ctx, stored)
	return StaffWelcome{Role: found.Role, Sitting: sitting.Number, Stand: at}, err
}

// JoinStaff lets kitchen or floor in with the code of their link, and returns the
// token of their session. from is the caller's address: wrong codes slow it down
// ([ErrSlowDown]) and, after a few of its own, those of others at the link do too.
// others are the sessions that the device holds already: one device that is kitchen
// and floor sees both halves of the key, so [ErrOtherRole] when it is the other one of
// this study; a lead's device may join, and the log says so. [ErrCode] when the code is
// wrong, [ErrNotOpen] unless the sitting is open; the kitchen may also
// join one that is prepared.
func (s *Service) JoinStaff(ctx context.Context, link StaffToken, code StaffCode, from string,
	others ...Session) (SessionToken, Session, error) {
	found, err := s.store.StaffLinkByToken(ctx, hash(link))
	if err != nil {
		return "", Session{}, err
	}
	sitting, stored, err := s.sitting(ctx, found.SittingID)
	if err != nil {
		return "", Session{}, err
	}
	at, err := s.stand(ctx, stored)
	if err != nil {
		return "", Session{}, err
	}
	if !mayJoin(found.Role, at) {
		return "", Session{}, ErrNotOpen
	}
	code = StaffCode(strings.ReplaceAll(strings.TrimSpace(string(code)), " ", ""))
	// A renewed link starts afresh, so that guessing cannot lock the staff out for good.
	err = s.slow.attempt(ctx, from, "link "+string(hash(link)), func() (bool, error) {
		return subtle.ConstantTimeCompare([]byte(code), []byte(s.staffCode(found))) == 1, nil
	})
	if errors.Is(err, errWrong) {
		return "", Session{}, errors.Join(ErrCode,
			s.log(ctx, stored.ID, found.Role.String(), "wrong code",
				fmt.Sprintf("sitting %d, from %s", sitting.Number, from)))
	}
	if err != nil {
		return "", Session{}, err
	}
	return s.comeIn(ctx, found, sitting, stored, "", others)
}

// sitting returns a sitting with its study, in the state in which it is for whoever
// works there.
func (s *Service) sitting(ctx context.Context, id SittingID) (Sitting, Study, error) {
	sitting, err := s.store.Sitting(ctx, id)
	if err != nil {
		return Sitting{}, Study{}, err
	}
	stored, err := s.Study(ctx, sitting.StudyID)
	stored.State = sitting.stateIn(stored)
	return sitting, stored, err
}

// at returns the sitting at which kitchen or floor works, when they may do a
// there now: [ErrRefused] when they may never, [ErrNotOpen] when not now, [ErrEarly] when not yet.
func (s *Service) at(ctx context.Context, by Session, a Act) (Sitting, Study, error) {
	if err := by.may(a); err != nil {
		return Sitting{}, Study{}, err
	}
	sitting, stored, err := s.sitting(ctx, by.SittingID)
	if err != nil {
		return Sitting{}, Study{}, err
	}
	return sitting, stored, by.mayNow(a, stored.State)
}
