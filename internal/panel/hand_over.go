package panel

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"
)

// HandOverLasts is for how long the next of the floor can take over with a code that was
// shown; maxHandedOver is how many codes there are at once.
const (
	HandOverLasts = 10 * time.Minute
	maxHandedOver = 50
)

// handedOver are the codes that were shown and not used yet. They are kept in memory: after
// a restart one shows a new one.
type handedOver struct {
	mu  sync.Mutex
	all map[TokenHash]handed
}

type handed struct {
	by       Session
	renewals int // of the link of the floor, when it was shown
	at       time.Time
	seat     AssessorID // whose ballot the tablet shows; "" = the way is the floor's
}

func (h *handedOver) keep(token TokenHash, x handed) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for old, y := range h.all {
		if x.at.Sub(y.at) >= HandOverLasts || len(h.all) >= maxHandedOver {
			delete(h.all, old)
		}
	}
	if h.all == nil {
		h.all = map[TokenHash]handed{}
	}
	h.all[token] = x
}

// take uses a code up.
func (h *handedOver) take(token TokenHash, now time.Time) (handed, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	x, found := h.all[token]
	delete(h.all, token)
	return x, found && now.Sub(x.at) < HandOverLasts
}

// HandOver returns the token of a link with which the next of the floor comes in, once,
// without the six digits. Whoever showed it stays signed in until they sign out.
func (s *Service) HandOver(ctx context.Context, by Session) (HandOverToken, error) {
	sitting, _, err := s.at(ctx, by, ActServe)
	if err != nil {
		return "", err
	}
	link, err := s.store.StaffLink(ctx, sitting.ID, by.Role, hash(s.staffToken(sitting.ID, by.Role, 0)))
	if err != nil {
		return "", err
	}
	token, err := s.token(32)
	if err != nil {
		return "", err
	}
	shown := handed{by: by, renewals: link.Renewals, at: s.now()}
	s.handed.keep(hash(token), shown)
	s.tellOthers(message{At: shown.at, Shown: &shownWay{Token: hash(token), By: by, Renewals: link.Renewals}})
	return HandOverToken(token), nil
}

// TakeOver lets in who has the link of [Service.HandOver], and returns the token of their
// session. [ErrNotFound] when it was used or is too old, [ErrCode] when the lead renewed the
// floor's link since; [ErrOtherRole] as [Service.JoinStaff].
func (s *Service) TakeOver(ctx context.Context, token HandOverToken, others ...Session) (SessionToken, error) {
	x, found := s.handed.take(hash(token), s.now())
	if !found {
		return "", ErrNotFound
	}
	s.tellOthers(message{Used: hash(token)})
	sitting, stored, err := s.at(ctx, x.by, ActServe)
	if err != nil {
		return "", err
	}
	link := StaffLink{SittingID: sitting.ID, Role: x.by.Role, Renewals: x.renewals}
	in, _, err := s.comeIn(ctx, link, sitting, stored, ", shown the way by "+x.by.Who(), others)
	return in, err
}

// comeIn makes the session of somebody who may join; said goes on what the log says.
func (s *Service) comeIn(ctx context.Context, link StaffLink, sitting Sitting, stored Study, said string,
	others []Session) (SessionToken, Session, error) {
	token, err := s.token(32)
	if err != nil {
		return "", Session{}, err
	}
	session := Session{Role: link.Role, StudyID: stored.ID, SittingID: sitting.ID, Expires: s.now().Add(SessionLength)}
	detail := fmt.Sprintf("sitting %d%s", sitting.Number, said)
	for _, other := range others {
		switch {
		case other.Role == RoleTablet:
			return "", Session{}, ErrOtherRole
		case other.StudyID == stored.ID && other.Role != link.Role &&
			(other.Role == RoleKitchen || other.Role == RoleFloor):
			return "", Session{}, errors.Join(ErrOtherRole,
				s.log(ctx, stored.ID, link.Role.String(), "join refused", detail+", on the device of "+other.Who()))
		case slices.Contains(UserRoles, other.Role):
			detail += ", on a device signed in as " + other.Who()
		}
	}
	e := s.event(stored.ID, "", "joined", detail)
	at := hash(s.staffToken(sitting.ID, link.Role, link.Renewals))
	session, err = s.store.JoinStaff(ctx, at, link.Renewals, hash(token), session, e)
	if err != nil {
		return "", Session{}, fmt.Errorf("join as %s: %w", link.Role, err)
	}
	return SessionToken(token), session, nil
}
