package panel

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"cloche/internal/design"
)

// Floor alone does not break the blind: one asks, and another of the staff agrees. What was
// asked is kept in memory, for [blindAskLasts]: after a restart one asks again.

const (
	blindAskLasts = 15 * time.Minute
	maxBlindAsks  = 20 // at once, of all studies
)

// BlindAsk is the wish of somebody of the floor to know what a plate is, for safety. It has
// no field for what that is.
type BlindAsk struct {
	ID     BlindAskID
	Who    string      // asked
	With   string      // who agreed; "" = nobody yet
	Own    bool        // by whoever reads it
	Code   design.Code // on the plate
	Seat   int         // label of the assessor who has it
	Reason string
}

type blindAsk struct {
	BlindAsk
	at      time.Time
	sitting SittingID
	asked   BreakBlind
}

type blindAsks struct {
	mu  sync.Mutex
	all []blindAsk
}

// keep adds one, and forgets those that are too old or too many.
func (a *blindAsks) keep(x blindAsk) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.all = slices.DeleteFunc(a.all, func(old blindAsk) bool { return x.at.Sub(old.at) >= blindAskLasts })
	a.all = append(a.all, x)
	a.all = a.all[max(0, len(a.all)-maxBlindAsks):]
}

// at returns those of a sitting that are not too old.
func (a *blindAsks) at(sitting SittingID, now time.Time) (there []blindAsk) {
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, x := range a.all {
		if x.sitting == sitting && now.Sub(x.at) < blindAskLasts {
			there = append(there, x)
		}
	}
	return there
}

func (a *blindAsks) agree(id BlindAskID, with string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	for i := range a.all {
		if a.all[i].ID == id {
			a.all[i].With = cmp.Or(a.all[i].With, with)
		}
	}
}

// AskBlind asks another of the staff to agree that floor sees what a plate is. Errors as
// those of [Service.BreakBlind].
func (s *Service) AskBlind(ctx context.Context, by Session, b BreakBlind) (BlindAsk, error) {
	sitting, stored, err := s.at(ctx, by, ActAskBlind)
	if err != nil {
		return BlindAsk{}, err
	}
	if b.Reason, err = reasonOf(b.Reason); err != nil {
		return BlindAsk{}, err
	}
	v, place, err := s.servingByCode(ctx, stored, sitting.Number, b.Code, b.Seat)
	if err != nil {
		return BlindAsk{}, err
	}
	id, err := s.token(12)
	if err != nil {
		return BlindAsk{}, err
	}
	seat := Assessor{Place: place}
	x := blindAsk{BlindAsk: BlindAsk{ID: BlindAskID(id), Who: by.Who(), Own: true, Code: v.Code, Seat: seat.Label(),
		Reason: b.Reason}, at: s.now(), sitting: sitting.ID, asked: b}
	if err := s.log(ctx, stored.ID, by.Who(), "blind asked for", seat.nameInLog()+", code "+string(v.Code)+": "+
		b.Reason); err != nil {
		return BlindAsk{}, err
	}
	s.blind.keep(x)
	s.tellOthers(message{At: x.at, Asked: &askedBlind{x.BlindAsk, x.sitting, x.asked}})
	s.changed(stored.ID)
	return x.BlindAsk, nil
}

// blindAsksFor are those of a session's sitting, as it may read them.
func (s *Service) blindAsksFor(by Session) (all []BlindAsk) {
	for _, x := range s.blind.at(by.SittingID, s.now()) {
		x.Own = x.Who == by.Who()
		all = append(all, x.BlindAsk)
	}
	return all
}

// BlindAsk returns one that was asked at a session's sitting; [ErrNotFound] when there is
// none, or no more.
func (s *Service) BlindAsk(ctx context.Context, by Session, id BlindAskID) (BlindAsk, error) {
	if _, _, err := s.at(ctx, by, ActAgreeBlind); err != nil {
		return BlindAsk{}, err
	}
	for _, x := range s.blindAsksFor(by) {
		if x.ID == id {
			return x, nil
		}
	}
	return BlindAsk{}, ErrNotFound
}

// AgreeBlind breaks the blind for the serving that somebody else of the staff asked about.
// [ErrSamePerson] when it is the same.
func (s *Service) AgreeBlind(ctx context.Context, by Session, id BlindAskID) error {
	sitting, stored, err := s.at(ctx, by, ActAgreeBlind)
	if err != nil {
		return err
	}
	for _, x := range s.blind.at(sitting.ID, s.now()) {
		switch {
		case x.ID != id:
			continue
		case x.Who == by.Who():
			return ErrSamePerson
		case x.With != "":
			return nil // somebody was quicker
		}
		if _, err := s.breakBlind(ctx, stored, sitting, x.Who+" with "+by.Who(), x.asked); err != nil {
			return err
		}
		s.blind.agree(id, by.Who())
		s.tellOthers(message{Agreed: &agreed{id, by.Who()}})
		s.changed(stored.ID)
		return nil
	}
	return ErrNotFound
}

// OpenedBlind shows whoever asked what is on the plate, once another has agreed:
// [ErrNotYet] before, [ErrNotFound] for anybody else.
func (s *Service) OpenedBlind(ctx context.Context, by Session, id BlindAskID) (Revealed, error) {
	sitting, stored, err := s.at(ctx, by, ActAskBlind)
	if err != nil {
		return Revealed{}, err
	}
	for _, x := range s.blind.at(sitting.ID, s.now()) {
		switch {
		case x.ID != id:
			continue
		case x.Who != by.Who():
			return Revealed{}, ErrNotFound
		case x.With == "":
			return Revealed{}, ErrNotYet
		}
		v, place, err := s.servingByCode(ctx, stored, sitting.Number, x.asked.Code, x.asked.Seat)
		if err != nil {
			return Revealed{}, err
		}
		return revealed(stored, v, place, x.at, x.Reason), nil
	}
	return Revealed{}, ErrNotFound
}

// reasonOf is a reason as it is kept; [ErrReason] when there is none, or it is too long.
func reasonOf(text string) (string, error) {
	text = strings.TrimSpace(text)
	if text == "" || utf8.RuneCountInString(text) > MaxReason {
		return "", ErrReason
	}
	return text, nil
}
