package panel

import (
	"context"
	"fmt"
	"slices"
	"strings"
)

// PlateGate is what an assessor sees of a turn before the code on its plate was typed. It has
// no field for a name or a question: what a name does begins with the plate.
type PlateGate struct {
	ID         TurnID
	Number, Of int // from 1, at this sitting
	Plates     int // how many it has
	Codes      int // how many have to be typed: all of them, or the first
	// Typed is what opens it, for a rehearsal and a demonstration, in which nobody brings a
	// plate. It stands on the plate, which the guest has before them.
	Typed PlateCodes
}

// gated reports whether a turn waits for the code on its plate.
func (t seatState) gated(x Turn) bool {
	return t.study.Spec.Serving.PlateGate && !x.reads() && x.OpenedAt.IsZero()
}

// gate is how many codes open a turn that waits for them; 0 where it does not.
func (t seatState) gate(x Turn) int {
	if !t.gated(x) {
		return 0
	}
	return len(strings.Fields(string(t.opens(x))))
}

// plateGate is the view of the turn at i before its code was typed.
func (t seatState) plateGate(i int) PlateGate {
	x := t.turns[i]
	g := PlateGate{ID: x.ID, Plates: len(x.Servings), Codes: t.gate(x), Typed: t.opens(x)}
	g.Number, g.Of = t.number(i)
	return g
}

// opensWith reports whether codes as somebody typed them open a turn. All of its codes always
// do: a phone that opened it without network names those.
func (t seatState) opensWith(x Turn, typed string) bool {
	codes := CodesTyped(typed)
	return codes != "" && (codes == t.opens(x) || codes == x.Key())
}

// OpenPlate opens the turn in front of an assessor with the codes that they typed from its
// plates. [ErrOtherCode] when these are not its codes. Nothing happens to a turn that is not
// the one in front of them, or is open.
func (s *Service) OpenPlate(ctx context.Context, token SeatToken, id TurnID, typed string) error {
	t, err := s.seatOfLink(ctx, token)
	if err != nil {
		return err
	}
	i := t.next()
	if t.stage(s.now()) != StagePlate || t.turns[i].ID != id {
		return nil
	}
	if !t.opensWith(t.turns[i], typed) {
		if was, err := s.openedBefore(ctx, t, i, typed); err != nil || !was {
			return ErrOtherCode
		}
	}
	if err := s.store.OpenTurn(ctx, id, s.now()); err != nil {
		return fmt.Errorf("open a turn: %w", err)
	}
	s.tellPhone(t.assessor.ID) // of which another tab may be open
	return nil
}

// openedBefore reports whether typed is the code of the plate of a turn before it was dropped:
// a phone without network opens what it holds with that.
func (s *Service) openedBefore(ctx context.Context, t seatState, i int, typed string) (bool, error) {
	x := t.turns[i]
	if len(x.Servings) != 1 {
		return false, nil
	}
	dropped, err := s.store.Dropped(ctx, t.study.ID)
	return slices.ContainsFunc(dropped, func(d Dropped) bool {
		return d.ServingID == x.Servings[0].ID && PlateCodes(d.Code) == CodesTyped(typed)
	}), err
}

// mayAnswer reports whether answers to the turn at i are taken: not those to one that waits for
// the code on its plate, unless they come with it.
func (s *Service) mayAnswer(ctx context.Context, t seatState, i int, typed string) (bool, error) {
	x := t.turns[i]
	if !t.gated(x) || t.over(x) || t.opensWith(x, typed) {
		return true, nil
	}
	return s.openedBefore(ctx, t, i, typed)
}
