package panel

import (
	"context"
	"slices"
	"time"

	"cloche/internal/design"
)

// PlateFate says what is to be done with the plate that carries a code. The zero value is
// a code that no plate of the sitting has.
type PlateFate int

// The fates of a plate.
const (
	FateUnknown  PlateFate = iota // no plate of the sitting has the code
	FateReplaced                  // the plate was dropped: its serving carries another code now
	FateNobodys                   // nobody has the place that it was plated for
	FateGone                      // its guest has left, or took back what they said
	FateRated                     // it was answered
	FateRefused                   // the guest did not want it
	FateEarly                     // other plates of its guest come first
	FateSoon                      // it is the next of its guest, who is not ready for it
	FateDue                       // its guest waits for it
	FateOnTable                   // it is on the table
)

// PlateInHand is what floor is told of a plate by the code on it: whose it is and what is
// to be done. It has no field for a name: the page of the seat says the name of what is
// due there, and of nothing else.
type PlateInHand struct {
	Code   design.Code
	Fate   PlateFate
	SeatID AssessorID // "" where nobody has it
	Label  int        // of the seat
	Table  int        // 0 = not known
	Chair  int        // seat at the table, from 1; 0 = not known
	State  SeatState
	Number int           // of its turn within the sitting, from 1
	Tray   bool          // several plates go out with it
	First  int           // FateEarly: the number of the turn that comes first
	Tastes bool          // FateEarly: that one is on the table
	Left   time.Duration // FateSoon: of a rinse
	With   string        // FateDue: who else of the floor has it in the hand; "" = nobody
	Fresh  design.Code   // FateReplaced: the code that its serving carries now
}

// inHand claims a plate that is due for whoever typed its code, unless somebody else has it.
func (s *Service) inHand(by Session, id TurnID, p PlateInHand, t seatState) PlateInHand {
	if p.Fate != FateDue {
		return p
	}
	var fresh bool
	if p.With, fresh = s.claims.take(id, by.Who(), s.now()); fresh {
		s.tellOthers(message{Claimed: &claimed{id, by.Who()}})
		s.changed(t.study.ID)
	}
	return p
}

// PlateInHand says whose the plate with a code is, and what is to be done with it. One that
// is due is claimed for whoever asks, see [ClaimLasts].
func (s *Service) PlateInHand(ctx context.Context, by Session, code design.Code) (PlateInHand, error) {
	sitting, stored, err := s.at(ctx, by, ActServe)
	if err != nil {
		return PlateInHand{}, err
	}
	e, err := s.evening(ctx, stored)
	if err != nil {
		return PlateInHand{}, err
	}
	x, found := e.turnWith(sitting.Number, code)
	if !found {
		return e.replacedPlate(sitting.Number, code), nil
	}
	for _, t := range e.seats {
		if i := t.index(x.ID); i >= 0 && t.tastesAt(sitting.Number) {
			return s.inHand(by, x.ID, t.plateInHand(i, code, sitting, e.now), t), nil
		}
	}
	return PlateInHand{Code: code, Fate: FateNobodys}, nil
}

// turnWith finds the turn of a sitting with a plate that carries a code now.
func (e evening) turnWith(sitting int, code design.Code) (Turn, bool) {
	for _, x := range e.plated(sitting) {
		if slices.ContainsFunc(x.Servings, func(v Serving) bool { return v.Code == code }) {
			return x, true
		}
	}
	return Turn{}, false
}

// replacedPlate is a plate whose code no serving has any more, or never had.
func (e evening) replacedPlate(sitting int, code design.Code) PlateInHand {
	p := PlateInHand{Code: code}
	for _, x := range e.plated(sitting) {
		for _, v := range x.Servings {
			if slices.ContainsFunc(e.dropped, func(d Dropped) bool { return d.ServingID == v.ID && d.Code == code }) {
				p.Fate, p.Fresh = FateReplaced, v.Code
			}
		}
	}
	return p
}

// plateInHand is a plate of the turn at i of a seat.
func (t seatState) plateInHand(i int, code design.Code, sitting Sitting, now time.Time) PlateInHand {
	x, next, state := t.turns[i], t.next(), t.stateAt(sitting.Number, now)
	p := PlateInHand{Code: code, SeatID: t.assessor.ID, Label: t.assessor.Label(),
		Table: t.assessor.Table, Chair: t.assessor.TableSeat, State: state, Tray: len(x.Servings) > 1}
	p.Number, _ = t.number(i)
	_, rated := t.answered[x.ID]
	switch {
	case rated:
		p.Fate = FateRated
	case !x.RefusedAt.IsZero():
		p.Fate = FateRefused
	case state.gone():
		p.Fate = FateGone
	case x.set():
		p.Fate = FateOnTable
	case i == next && state == SeatWaiting:
		p.Fate = FateDue
	case i == next || t.turns[next].reads():
		p.Fate, p.Left = FateSoon, t.rest(now)
	default:
		p.Fate, p.Tastes = FateEarly, t.turns[next].set()
		p.First, _ = t.number(next)
	}
	return p
}
