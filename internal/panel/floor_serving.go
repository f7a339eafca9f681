package panel

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"cloche/internal/design"
)

// PhoneAct makes an act count once that a phone without network kept and sends until
// it hears what became of it. The zero value is that of a page without a script.
type PhoneAct struct {
	ID string // made by the phone, at most 64 bytes; "" = not made
	// Code stands on the plates meant, as the phone showed it; "" = whatever they carry now.
	Code   PlateCodes
	Waited time.Duration // how long the phone kept it before it was sent
}

// first returns [ErrRepeated] when an act was taken before.
func (s *Service) first(ctx context.Context, studyID StudyID, o PhoneAct) error {
	if o.ID == "" {
		return nil
	}
	if len(o.ID) > maxSubmissionID {
		return fmt.Errorf("%w: an act's id has at most %d bytes", ErrBadValue, maxSubmissionID)
	}
	taken, err := s.store.Acted(ctx, studyID, o.ID)
	if err != nil {
		return err
	}
	if taken {
		return ErrRepeated
	}
	return nil
}

// actAt is [Service.at] for an act that was not taken before.
func (s *Service) actAt(ctx context.Context, by Session, o PhoneAct) (Sitting, Study, error) {
	sitting, stored, err := s.at(ctx, by, ActServe)
	if err == nil || errors.Is(err, ErrNotOpen) { // what was taken before close was taken
		if again := s.first(ctx, by.StudyID, o); again != nil {
			return Sitting{}, Study{}, again
		}
	}
	return sitting, stored, err
}

// Serve notes that the plates of a turn were set down, those that were before aside. It
// has to be the turn that comes next at its seat: [ErrNotYet] before that. What a phone
// tells after the guest has answered it stands in the log.
func (s *Service) Serve(ctx context.Context, by Session, id TurnID, o PhoneAct) error {
	now := s.now()
	err := s.noteTurn(ctx, by, id, "served", TurnNote{Served: &now}, o)
	if o.ID == "" || !errors.Is(err, ErrRated) {
		return err
	}
	t, i, err := s.turnFor(ctx, by, id)
	if err != nil {
		return err
	}
	e := s.event(t.study.ID, by.Who(), "served", t.called(i)+", told after it was rated")
	e.ActID = o.ID
	return s.store.NoteTurn(ctx, id, TurnNote{Served: &now}, e)
}

// TakeBack takes back that the plates of a turn were set down.
func (s *Service) TakeBack(ctx context.Context, by Session, id TurnID, o PhoneAct) error {
	return s.noteTurn(ctx, by, id, "taken back", TurnNote{Served: &time.Time{}}, o)
}

// Refuse notes that the guest did not want what a turn serves, or did not say what they
// expect of a name that is read; the next one follows. A guest who answers it after
// all did not refuse.
func (s *Service) Refuse(ctx context.Context, by Session, id TurnID, o PhoneAct) error {
	now := s.now()
	return s.noteTurn(ctx, by, id, "refused", TurnNote{Refused: &now}, o)
}

// TakeBackRefusal takes back that the guest did not want what a turn serves, or that a
// name was skipped. [ErrOverAlready] once the next one was served or answered.
func (s *Service) TakeBackRefusal(ctx context.Context, by Session, id TurnID, o PhoneAct) error {
	sitting, stored, err := s.actAt(ctx, by, o)
	if err != nil {
		return err
	}
	t, i, err := s.turnIn(ctx, sitting, stored, id)
	if err != nil {
		return err
	}
	if i != t.refused() {
		return ErrOverAlready
	}
	e := s.event(stored.ID, by.Who(), "refusal taken back", t.called(i))
	e.ActID = o.ID
	if err := s.store.NoteTurn(ctx, id, TurnNote{Refused: &time.Time{}}, e); err != nil {
		return fmt.Errorf("take back a refusal: %w", err)
	}
	s.changedAt(t)
	return nil
}

func (s *Service) noteTurn(ctx context.Context, by Session, id TurnID, what string, n TurnNote, o PhoneAct) error {
	t, i, err := s.current(ctx, by, id, o)
	if err != nil {
		return err
	}
	x := t.turns[i]
	switch {
	case x.reads() && n.Refused == nil:
		return ErrNotFound // nothing is served
	case o.Code != "" && o.Code != x.Key():
		return ErrOtherCode
	}
	e := s.event(t.study.ID, by.Who(), what, t.called(i))
	e.ActID = o.ID
	if err := s.store.NoteTurn(ctx, id, n, e); err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	s.changedAt(t)
	return nil
}

// Drop notes that a plate was dropped before its turn was answered: the serving gets
// the next spare code of the sitting, and the kitchen plates it anew under that code.
// The old code stays in the log. [ErrNoSpare] when no code is left: plate it anew
// under the old one. A plate of a later turn can be dropped by its code: the
// guest's phone may be further on than this service knows.
func (s *Service) Drop(ctx context.Context, by Session, id ServingID, o PhoneAct) (FloorPlate, error) {
	if err := by.may(ActServe); err != nil { // before anything is looked up
		return FloorPlate{}, err
	}
	p, err := s.plate(ctx, by, id, o)
	if errors.Is(err, ErrNotYet) && o.Code != "" {
		p, err = s.plateFor(ctx, by, id)
	}
	if err != nil {
		return FloorPlate{}, err
	}
	old := p.serving().Code
	if o.Code != "" {
		old = design.Code(o.Code) // of the plate that was meant
	}
	e := s.event(p.seat.study.ID, by.Who(), "dropped", p.called())
	e.ActID = o.ID
	fresh, err := s.store.Drop(ctx, id, old, s.now(), e)
	if err != nil {
		return FloorPlate{}, fmt.Errorf("drop a plate: %w", err)
	}
	s.changedAt(p.seat)
	return p.with(fresh), nil
}

// TakeBackDrop takes back that a plate was dropped: the serving has its code of
// before. The spare code is not used again. [ErrOverAlready] when it was not dropped.
func (s *Service) TakeBackDrop(ctx context.Context, by Session, id ServingID, o PhoneAct) (FloorPlate, error) {
	if err := by.may(ActServe); err != nil { // before anything is looked up
		return FloorPlate{}, err
	}
	p, err := s.plate(ctx, by, id, o)
	if err != nil {
		return FloorPlate{}, err
	}
	e := s.event(p.seat.study.ID, by.Who(), "drop taken back", p.called())
	e.ActID = o.ID
	back, err := s.store.TakeBackDrop(ctx, id, p.serving().Code, s.now(), e)
	if err != nil {
		return FloorPlate{}, fmt.Errorf("take back a drop: %w", err)
	}
	s.changedAt(p.seat)
	return p.with(back), nil
}

// plateAt is a serving at its seat: the one at at of the turn at turn.
type plateAt struct {
	seat     seatState
	turn, at int
}

func (p plateAt) serving() Serving { return p.seat.turns[p.turn].Servings[p.at] }

// with is the floor's view of the plate once its serving has changed.
func (p plateAt) with(v Serving) FloorPlate {
	p.seat.turns[p.turn].Servings[p.at] = v
	return p.seat.floorTurn(p.turn).Plates[p.at]
}

// called names the plate in the log: never its sample.
func (p plateAt) called() string { return p.seat.calls(p.turn, PlateCodes(p.serving().Code)) }

// plate returns a plate of the turn that comes next at its seat, for an act that was
// not taken before.
func (s *Service) plate(ctx context.Context, by Session, id ServingID, o PhoneAct) (plateAt, error) {
	x, err := s.store.TurnOf(ctx, id)
	if err != nil {
		return plateAt{}, err
	}
	t, i, err := s.current(ctx, by, x.ID, o)
	if err != nil {
		return plateAt{}, err
	}
	p := plateAt{t, i, t.turns[i].index(id)}
	if o.Code != "" && o.Code != PlateCodes(p.serving().Code) {
		return plateAt{}, ErrOtherCode
	}
	return p, nil
}

// plateFor returns a plate at the sitting of floor.
func (s *Service) plateFor(ctx context.Context, by Session, id ServingID) (plateAt, error) {
	x, err := s.store.TurnOf(ctx, id)
	if err != nil {
		return plateAt{}, err
	}
	t, i, err := s.turnFor(ctx, by, x.ID)
	if err != nil {
		return plateAt{}, err
	}
	return plateAt{t, i, t.turns[i].index(id)}, nil
}

// DropCode drops the plate of a seat that carries a code, and returns its new
// code; see [Service.Drop]. It says no name: the plate may be of a later turn.
func (s *Service) DropCode(ctx context.Context, by Session, seatID AssessorID, o PhoneAct) (fresh design.Code,
	err error) {
	sitting, _, err := s.actAt(ctx, by, o)
	if err != nil {
		return "", err
	}
	t, err := s.seatFor(ctx, by, seatID)
	if err != nil {
		return "", err
	}
	for _, x := range t.turns {
		for _, v := range x.Servings {
			if x.Sitting == sitting.Number && PlateCodes(v.Code) == o.Code && o.Code != "" {
				fresh, err := s.Drop(ctx, by, v.ID, o)
				return fresh.Code, err
			}
		}
	}
	return "", ErrOtherCode
}

// FloorBallot returns the questions of the turn that comes next at its seat, or
// of the one answered last with the answers that stand, for floor to enter on a
// guest's behalf. Where the code on the plate opens a serving, floor types it as a guest
// would: [ErrOtherCode] before.
func (s *Service) FloorBallot(ctx context.Context, by Session, id TurnID, typed string) (BallotTurn, error) {
	t, i, err := s.enterable(ctx, by, id)
	if err != nil {
		return BallotTurn{}, err
	}
	if may, err := s.mayAnswer(ctx, t, i, typed); err != nil || !may {
		return BallotTurn{}, cmp.Or(err, ErrOtherCode)
	}
	t = t.spoken()
	if i == t.next() {
		return t.forStaff(t.ballotTurn(i)), nil
	}
	b, err := s.correctable(ctx, t)
	return t.forStaff(b), err
}

// forStaff is a turn as staff ask it of a guest: it says of which language the guest's own words
// are, and shows the value of each mark, since staff type what a guest says or wrote.
func (t seatState) forStaff(b BallotTurn) BallotTurn {
	b.Language = t.study.Spec.Language()
	for i := range b.Asks {
		b.Asks[i].Number, b.Asks[i].Language = true, b.Language
	}
	return b
}

// Enter takes a submission that floor types on a guest's behalf, for the turn
// that comes next at its seat or for an earlier one; its answers are marked as
// entered by floor. [ErrNotYet] for a later one. Otherwise as [Service.Submit].
func (s *Service) Enter(ctx context.Context, by Session, sub Submission) (Receipt, error) {
	if err := by.may(ActServe); err != nil {
		return Receipt{}, err
	}
	sitting, stored, err := s.sitting(ctx, by.SittingID)
	if err != nil {
		return Receipt{}, err
	}
	t, i, err := s.turnIn(ctx, sitting, stored, sub.TurnID) // the store says when the study is closed
	if err != nil {
		return Receipt{}, err
	}
	if i > t.next() && stored.State == Open {
		return Receipt{}, ErrNotYet
	}
	if may, err := s.mayAnswer(ctx, t, i, sub.Code); err != nil || !may {
		return Receipt{}, cmp.Or(err, ErrOtherCode)
	}
	sub.ID = by.Role.String() + "/" + sub.ID // never the id of one of the guest's own
	sub.Seq = 0                              // several phones of the floor do not count together
	t = t.spoken()
	receipt, err := s.submit(ctx, t, i, sub, by.Who())
	receipt.Back.Turn = t.forStaff(receipt.Back.Turn)
	return receipt, err
}

// enterable returns the seat of a turn whose answers floor may enter or correct.
func (s *Service) enterable(ctx context.Context, by Session, id TurnID) (seatState, int, error) {
	t, i, err := s.turnFor(ctx, by, id)
	if err != nil {
		return seatState{}, 0, err
	}
	switch n := t.next(); {
	case i == n, i == t.correctable():
		return t, i, nil
	case i > n:
		return seatState{}, 0, ErrNotYet
	}
	return seatState{}, 0, ErrOverAlready
}

// current returns the seat of a turn that comes next there, and its index, for an act
// that was not taken before. A code that the turn does not carry is [ErrOtherCode]
// before it is [ErrNotYet]: another plate is meant.
func (s *Service) current(ctx context.Context, by Session, id TurnID, o PhoneAct) (seatState, int, error) {
	sitting, stored, err := s.actAt(ctx, by, o)
	if err != nil {
		return seatState{}, 0, err
	}
	t, i, err := s.turnIn(ctx, sitting, stored, id)
	if err != nil {
		return seatState{}, 0, err
	}
	n := t.next()
	_, rated := t.answered[id]
	switch {
	case i < n && rated:
		return seatState{}, 0, ErrRated
	case i < n:
		return seatState{}, 0, ErrOverAlready
	case i > n && !t.turns[i].carries(o.Code):
		return seatState{}, 0, ErrOtherCode
	case i > n:
		return seatState{}, 0, ErrNotYet
	}
	return t, i, nil
}

// turnFor returns the seat of a turn at the sitting of floor, and its index.
func (s *Service) turnFor(ctx context.Context, by Session, id TurnID) (seatState, int, error) {
	sitting, stored, err := s.at(ctx, by, ActServe)
	if err != nil {
		return seatState{}, 0, err
	}
	return s.turnIn(ctx, sitting, stored, id)
}

func (s *Service) turnIn(ctx context.Context, sitting Sitting, stored Study, id TurnID) (seatState, int, error) {
	x, err := s.store.Turn(ctx, id)
	if err != nil {
		return seatState{}, 0, err
	}
	if x.StudyID != stored.ID || x.Sitting != sitting.Number && !x.reads() {
		return seatState{}, 0, ErrNotFound
	}
	people, err := s.store.Assessors(ctx, stored.ID)
	if err != nil {
		return seatState{}, 0, err
	}
	for _, a := range people {
		if a.Place != x.Place {
			continue
		}
		t, err := s.seatOf(ctx, a)
		if err != nil {
			return seatState{}, 0, err
		}
		if i := t.index(id); i >= 0 && t.tastesAt(sitting.Number) {
			return t, i, nil
		}
	}
	return seatState{}, 0, ErrNotFound
}

// called names a turn in the log: never its samples.
func (t seatState) called(i int) string { return t.calls(i, t.turns[i].Key()) }

// calls names plates of a turn in the log, by their codes.
func (t seatState) calls(i int, codes PlateCodes) string {
	number, _ := t.number(i)
	switch {
	case t.turns[i].reads():
		return fmt.Sprintf("assessor %d, name %d, before tasting", t.assessor.Label(), number)
	case strings.Contains(string(codes), " "):
		return fmt.Sprintf("assessor %d, tray %d, codes %s", t.assessor.Label(), number, codes)
	}
	return fmt.Sprintf("assessor %d, serving %d, code %s", t.assessor.Label(), number, codes)
}
