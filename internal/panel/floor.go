package panel

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"cloche/internal/design"
	"cloche/internal/study"
)

// MaxSeatWords is the longest note of where a guest sits, in characters.
const MaxSeatWords = 40

// Room returns what floor sees of its sitting.
func (s *Service) Room(ctx context.Context, by Session) (Room, error) {
	if err := by.may(ActServe); err != nil {
		return Room{}, err
	}
	sitting, stored, err := s.sitting(ctx, by.SittingID)
	if err != nil {
		return Room{}, err
	}
	room := Room{Now: s.now(), Sitting: sitting.Number, Open: stored.State == Open, Invented: stored.Spec.Invented,
		Declined: sitting.Declined}
	room.Contents, room.TasteOnce = stored.Spec.Contents(), stored.Spec.Serving.TasteOnce
	room.Word, room.Asks = s.EveningWord(sitting.ID), s.blindAsksFor(by)
	e, err := s.evening(ctx, stored)
	if err != nil {
		return Room{}, err
	}
	lent, err := s.lentAt(ctx, sitting.ID, e.now)
	if err != nil {
		return Room{}, err
	}
	for _, t := range e.at(sitting.Number) {
		f := t.floorSeat(sitting, e.now)
		f.Lent = lent[t.assessor.ID]
		f.Phone = f.Phone || f.Lent
		for i := range f.Next.Plates {
			f.Next.Plates[i].Was = e.was(f.Next.Plates[i].ID)
		}
		f.Next.Incidents, f.Rated.Incidents = e.incidentsOf(f.Next.ID), e.incidentsOf(f.Rated.ID)
		f.With = s.claimed(by, f, e.now)
		room.Seats = append(room.Seats, f)
	}
	if room.Decision, err = s.decision(ctx, stored); err != nil {
		return Room{}, err
	}
	room.Ending, room.Unused = stored.Ending(), s.unusedSeats(e, sitting.Number)
	room.Counts, room.Waves = e.tally(sitting.Number), e.wavesOf(sitting)
	return room, nil
}

// waiting returns for how long an assessor has waited for the next plate.
func (t seatState) waiting(now time.Time) time.Duration {
	from := t.since()
	if last := t.tasted(t.next()); !last.IsZero() {
		from = later(from, t.restOver(last))
	}
	return max(now.Sub(from), 0)
}

func (t seatState) floorSeat(sitting Sitting, now time.Time) FloorSeat {
	f := FloorSeat{ID: t.assessor.ID, Label: t.assessor.Label(), Seat: t.assessor.Seat, Phone: t.assessor.Phone,
		Tongue: t.assessor.Language, Language: t.spoken().study.Spec.Language(),
		Table: t.assessor.Table, TableSeat: t.assessor.TableSeat,
		Returns: t.assessor.SittingID != sitting.ID, State: t.stateAt(sitting.Number, now), Self: t.assessor.LeftSelf}
	f.Over, f.Of = t.count(sitting.Number)
	f.Free = t.study.State == Open && t.untasted()
	n := t.next()
	switch {
	case f.State == SeatLeft:
		back := t
		back.assessor.LeftAt = time.Time{}
		f.Else = back.stateAt(sitting.Number, now)
	case f.State == SeatReading:
		f.Reads.ID = t.turns[n].ID
		f.Reads.Number, f.Reads.Of = t.number(n)
	case f.State == SeatRinsing:
		f.Rinse = t.rest(now)
	case f.State == SeatWaiting, f.State == SeatTasting:
		f.Next = t.floorTurn(n)
	}
	if f.State == SeatWaiting || f.State == SeatTasting {
		f.Waiting = t.waiting(now)
	}
	if at := t.passedAt(); f.State == SeatWaiting && !at.IsZero() {
		f.Passes = max(now.Sub(at), time.Second)
		f.Late = f.Passes >= passLong(t.study.Spec)
	}
	if f.State == SeatWaiting {
		f.Held = t.heldAt(sitting)
	}
	f.Rated = t.rated(sitting.Number)
	f.Asks = t.asksLast(now)
	if i := t.refused(); i >= 0 && !f.State.gone() && (t.turns[i].reads() || t.turns[i].Sitting == sitting.Number) {
		f.Before = FloorRefused{ID: t.turns[i].ID, Code: t.turns[i].Key()}
		f.Before.Number, _ = t.number(i)
	}
	return f
}

// was returns the code of a serving before its last drop, "" when there was none.
func (e evening) was(id ServingID) (code design.Code) {
	for _, d := range e.dropped {
		if d.ServingID == id && d.TakenBack.IsZero() {
			code = d.Code
		}
	}
	return code
}

// refused returns the turn that was refused last, while nothing has come after it;
// -1 when there is none.
func (t seatState) refused() int {
	for i := t.next() - 1; i >= 0; i-- {
		x := t.turns[i]
		if _, done := t.answered[x.ID]; done {
			return -1
		}
		if !x.RefusedAt.IsZero() {
			if n := t.next(); n < len(t.turns) && t.turns[n].touched() {
				return -1
			}
			return i
		}
	}
	return -1
}

// spoken is a seat with the study in the language that its guest reads, where they chose one.
func (t seatState) spoken() seatState {
	if t.assessor.Language != "" {
		t.study.Spec = t.study.Spec.In(t.assessor.Language)
	}
	return t
}

// floorTurn is a turn as floor takes it to a seat: names as their guest reads them, who
// hears the same that stands on their phone.
func (t seatState) floorTurn(i int) FloorTurn {
	x := t.turns[i]
	t = t.spoken()
	f := FloorTurn{ID: x.ID, Language: t.study.Spec.Language(), Response: x.Response, Code: x.Key(),
		Served: x.set(), ServedAt: x.servedAt(),
		Gate: t.gate(x)}
	f.Number, _ = t.number(i)
	for _, p := range t.ballotTurn(i).Plates {
		v := x.Servings[len(f.Plates)]
		f.Plates = append(f.Plates, FloorPlate{ID: v.ID, Code: p.Code, Name: p.Name, Known: p.Known,
			Served: !v.ServedAt.IsZero()})
	}
	return f
}

// SeatGuest gives a guest without a phone the next place of the sitting; what they agreed to was
// read in the language of [Speaking]. The same
// nonce again gives the same seat. [ErrNotRead] unless both parts of the consent
// are confirmed, the age where the study asks for one, and every screening question
// and what decides the stratum answered; [ErrFull] when no place is left.
func (s *Service) SeatGuest(ctx context.Context, by Session, nonce string, c GuestConsent) (FloorSeat, error) {
	sitting, stored, err := s.at(ctx, by, ActServe)
	if err != nil {
		return FloorSeat{}, err
	}
	if stored.Ending().Closing() {
		return FloorSeat{}, ErrNotOpen
	}
	answers, _, complete := answerScreening(stored.Spec, c.Screening)
	if !c.AllergensRead || !c.ConsentRead || stored.Spec.AsksAge() && !c.OldEnough || !complete {
		return FloorSeat{}, ErrNotRead
	}
	dealing, err := s.dealing(stored, c.Levels)
	if errors.Is(err, ErrStratum) {
		return FloorSeat{}, ErrNotRead
	}
	if err != nil {
		return FloorSeat{}, err
	}
	id, err := s.token(12)
	if err != nil {
		return FloorSeat{}, err
	}
	now := s.now()
	a := Assessor{ID: AssessorID(id), StudyID: stored.ID, SittingID: sitting.ID, JoinedAt: now, StartedAt: now,
		Screening: answers, Table: c.Table, Language: beganIn(ctx, stored.Spec)}
	a.Alike = stored.Spec.Serving.AtOneTable == study.SameOrder
	at := hash(s.derive("guest", string(sitting.ID), nonce)) // the place has no phone that holds the token
	seated, err := s.store.Seat(ctx, a, at, dealing, func(seated Assessor) Event {
		read := strings.TrimSpace("allergens and consent read " + began(seated.Language))
		return s.event(stored.ID, by.Who(), eventSeated, seated.nameInLog()+", "+read)
	})
	if err != nil {
		return FloorSeat{}, fmt.Errorf("seat a guest: %w", err)
	}
	s.changed(stored.ID)
	t, err := s.seatOf(ctx, seated)
	return t.floorSeat(sitting, now), err
}

// SetSeat notes where an assessor sits, in the floor's words.
func (s *Service) SetSeat(ctx context.Context, by Session, seatID AssessorID, words string, o PhoneAct) error {
	words = strings.TrimSpace(words)
	if utf8.RuneCountInString(words) > MaxSeatWords {
		return fmt.Errorf("%w: at most %d characters for a seat", ErrBadValue, MaxSeatWords)
	}
	return s.noteSeat(ctx, by, seatID, "seat noted", AssessorNote{Seat: &words}, o)
}

// Leave notes that a guest left early. Answers stay; nothing more is served.
func (s *Service) Leave(ctx context.Context, by Session, seatID AssessorID, o PhoneAct) error {
	now := s.now()
	return s.noteSeat(ctx, by, seatID, "guest left", AssessorNote{Left: &now}, o)
}

// Return takes back that a guest left.
func (s *Service) Return(ctx context.Context, by Session, seatID AssessorID, o PhoneAct) error {
	return s.noteSeat(ctx, by, seatID, "guest returned", AssessorNote{Left: &time.Time{}}, o)
}

// CutRinse ends the rinse that runs at a seat after so many servings. [ErrOverAlready]
// when another one runs, or none.
func (s *Service) CutRinse(ctx context.Context, by Session, seatID AssessorID, over int, o PhoneAct) error {
	now := s.now()
	sitting, _, err := s.actAt(ctx, by, o)
	if err != nil {
		return err
	}
	t, err := s.seatFor(ctx, by, seatID)
	if err != nil {
		return err
	}
	if n, _ := t.count(sitting.Number); n != over || t.stage(now) != StageRinse {
		return ErrOverAlready
	}
	return s.noteSeat(ctx, by, seatID, "rinse cut short", AssessorNote{Rested: &now}, o)
}

func (s *Service) noteSeat(ctx context.Context, by Session, seatID AssessorID, what string, n AssessorNote,
	o PhoneAct) error {
	_, stored, err := s.actAt(ctx, by, o)
	if err != nil {
		return err
	}
	t, err := s.seatFor(ctx, by, seatID)
	if err != nil {
		return err
	}
	e := s.event(stored.ID, by.Who(), what, t.assessor.nameInLog())
	e.ActID = o.ID
	if err := s.store.NoteAssessor(ctx, seatID, n, e); err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	s.changedAt(t)
	return nil
}

// seatFor returns a seat of the sitting of floor; [ErrNotFound] when it is none.
func (s *Service) seatFor(ctx context.Context, by Session, seatID AssessorID) (seatState, error) {
	sitting, err := s.store.Sitting(ctx, by.SittingID)
	if err != nil {
		return seatState{}, err
	}
	a, err := s.store.Assessor(ctx, seatID)
	if err != nil {
		return seatState{}, err
	}
	t, err := s.seatOf(ctx, a)
	if err != nil {
		return seatState{}, err
	}
	if a.StudyID != sitting.StudyID || !t.tastesAt(sitting.Number) {
		return seatState{}, ErrNotFound
	}
	return t, nil
}

// GuestTexts are what floor reads to a guest without a phone before consent.
type GuestTexts struct {
	Language  string   // BCP 47, of what is read aloud
	Languages []string // to choose from
	Minutes   int      // that tasting takes, over all sittings
	Sittings  int      // that an assessor attends
	Consent   string
	study.Contents
	Age       AgeAsked
	Strata    []StratumAsk
	Screening []ScreenAsk // to be asked after consent
}

// ConsentText returns what has to be read to a guest without a phone, in the language of
// [Speaking].
func (s *Service) ConsentText(ctx context.Context, by Session) (GuestTexts, error) {
	_, stored, err := s.at(ctx, by, ActServe)
	if err != nil {
		return GuestTexts{}, err
	}
	a := spoken(ctx, stored.Spec)
	g := GuestTexts{Language: a.Language(), Languages: stored.Spec.Languages, Consent: a.Texts.Consent,
		Contents: a.Contents(), Age: ageAsked(a), Screening: screenAsks(a), Strata: strataAsks(a)}
	w := newWelcome(a, nil)
	g.Minutes, g.Sittings = w.Minutes, w.Sittings
	return g, nil
}
