package panel

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// SaidLast is what an assessor said to the last question: after their last plate, before
// anybody was told anything. It is deleted when they withdraw, and stands in no log.
type SaidLast struct {
	Guess      study.Guess // "" where none was asked for
	Thought    string      // what they think was compared, in their words; may be empty
	At         time.Time   // zero until they answered
	EnteredBy  string      // who of the staff; "" = the assessor
	AfterClose bool        // arrived after the study was closed, when somebody may have been told: it does not count
}

// Given reports whether the last question was answered.
func (x SaidLast) Given() bool { return !x.At.IsZero() }

const guessField = "guess"

// tastedAll reports whether all of a seat's plates are over and one was answered: only then
// may anybody there read the last question.
func (t seatState) tastedAll() bool {
	return t.study.Spec.Panel.LastQuestion != "" && t.next() == len(t.turns) && t.last() >= 0 &&
		t.assessor.LeftAt.IsZero() && t.assessor.WithdrawnAt.IsZero()
}

// asksLast reports whether the last question is due.
func (t seatState) asksLast(now time.Time) bool {
	return t.tastedAll() && !t.assessor.SaidLast.Given() && t.study.State == Open && !t.study.Ending().over(now)
}

// guessChoice is a guess as an assessor reads it.
type guessChoice struct {
	guess study.Guess
	label string
}

// guessChoices are the guesses to choose from; none where only words are asked for, and where
// a plate that is asked about was not wanted. The order of two things said turns with the
// place, so that the first of a list draws guesses to neither.
func (t seatState) guessChoices() (all []guessChoice) {
	a := t.study.Spec
	add := func(g study.Guess) { all = append(all, guessChoice{g, a.GuessLabel(g)}) }
	switch kind := a.Panel.LastQuestion; {
	case kind == study.AskSame:
		add(study.GuessSame)
		add(study.GuessDifferent)
	case kind == study.AskWhich && a.Serving.Design == study.One:
		first := t.assessor.Place % 2
		add(study.Guess(a.Plan.Compare[first]))
		add(study.Guess(a.Plan.Compare[1-first]))
	case kind == study.AskWhich:
		if all = t.platesCompared(); len(all) != 2 {
			return nil
		}
	default:
		return nil
	}
	add(study.GuessUnknown)
	return all
}

// platesCompared are the plates of the two samples of the comparison, in the order in which
// they were tasted.
func (t seatState) platesCompared() (all []guessChoice) {
	a := t.study.Spec
	for i, x := range t.turns {
		if x.Role != design.Rated || !x.RefusedAt.IsZero() {
			continue
		}
		for _, v := range x.Servings {
			if v.Sample == a.Plan.Compare[0] || v.Sample == a.Plan.Compare[1] {
				number, _ := t.number(i)
				all = append(all, guessChoice{study.Guess(v.Sample), a.PlateLabel(number, string(v.Code))})
			}
		}
	}
	return all
}

// lastTurn is the last question as pages and scripts read a turn.
func (t seatState) lastTurn() BallotTurn {
	b := BallotTurn{AskComment: t.study.Spec.ComparedAsk()}
	if choices := t.guessChoices(); len(choices) > 0 {
		ask := Ask{Field: guessField, Text: t.study.Spec.GuessAsk()}
		for _, c := range choices {
			ask.Labels = append(ask.Labels, c.label)
		}
		b.Asks = []Ask{ask}
	}
	return b
}

// readLast reads what was given to the last question; problems is by field name.
func (t seatState) readLast(given map[string]string, comment string) (said SaidLast, problems map[string]Problem) {
	problems = map[string]Problem{}
	said.Thought = strings.TrimSpace(comment)
	if utf8.RuneCountInString(said.Thought) > MaxComment {
		problems["comment"] = TooLong
	}
	choices := t.guessChoices()
	if len(choices) == 0 {
		return said, problems
	}
	text := strings.TrimSpace(given[guessField])
	n, err := strconv.Atoi(text)
	switch {
	case text == "":
		problems[guessField] = NoChoice
	case err != nil || n < 1 || n > len(choices):
		problems[guessField] = OffList
	default:
		said.Guess = choices[n-1].guess
	}
	return said, problems
}

// SayLast takes what the assessor of a personal link says to the last question. The first
// answer stands: sent again, nothing changes. [ErrNotYet] before their last plate was
// answered and where nothing is asked; an [AnswerError] when something is missing, and back
// is then the ballot to show again; [ErrWithdrawn] after withdrawal.
func (s *Service) SayLast(ctx context.Context, token SeatToken, given map[string]string, comment string) (
	outcome Outcome, back Ballot, err error) {
	t, err := s.seatOfLink(ctx, token)
	if err != nil {
		return 0, Ballot{}, err
	}
	return s.sayLast(ctx, t, given, comment, "")
}

func (s *Service) sayLast(ctx context.Context, t seatState, given map[string]string, comment, enteredBy string) (
	Outcome, Ballot, error) {
	switch {
	case !t.assessor.WithdrawnAt.IsZero():
		return 0, Ballot{}, ErrWithdrawn
	case !t.tastedAll():
		return 0, Ballot{}, ErrNotYet
	case t.assessor.SaidLast.Given():
		return Repeated, Ballot{}, nil
	}
	said, problems := t.readLast(given, comment)
	if len(problems) > 0 {
		return 0, t.backLast(given, comment, problems), &AnswerError{Fields: problems}
	}
	said.At, said.EnteredBy = s.now(), enteredBy
	said.AfterClose = t.study.Ending().over(said.At)
	who := t.assessor.nameInLog()
	e := s.event(t.study.ID, who, "answered the last question", "")
	if enteredBy != "" {
		e = s.event(t.study.ID, enteredBy, "entered the last question", "for "+who)
	}
	outcome, err := s.store.SayLast(ctx, t.assessor.ID, said, e)
	if err != nil {
		return 0, Ballot{}, fmt.Errorf("keep what was said to the last question: %w", err)
	}
	s.changed(t.study.ID)
	return outcome, Ballot{}, nil
}

// backLast is the last question as it was filled in, with what is wrong.
func (t seatState) backLast(given map[string]string, comment string, problems map[string]Problem) Ballot {
	b := t.blank()
	b.Stage, b.Turn = StageLast, t.lastTurn()
	for k := range b.Turn.Asks {
		ask := &b.Turn.Asks[k]
		ask.Given, ask.Problem = given[ask.Field], problems[ask.Field]
	}
	b.Turn.GivenComment, b.Turn.Problem = comment, problems["comment"]
	return b
}

// guesses are what assessors said to the last question and what counts of it, for the analysis.
func guesses(people []Assessor) (all []analysis.Guessed) {
	for _, a := range people {
		if x := a.SaidLast; x.Given() && !x.AfterClose {
			all = append(all, analysis.Guessed{Assessor: strconv.Itoa(a.Label()), Guess: x.Guess,
				Thought: x.Thought != ""})
		}
	}
	return all
}

// FloorLast returns the last question for floor to ask a guest of their sitting, and whose it
// is; [ErrNotFound] unless it is due there.
func (s *Service) FloorLast(ctx context.Context, by Session, seatID AssessorID) (BallotTurn, error) {
	if _, _, err := s.at(ctx, by, ActServe); err != nil {
		return BallotTurn{}, err
	}
	t, err := s.seatFor(ctx, by, seatID)
	if err != nil {
		return BallotTurn{}, err
	}
	if !t.asksLast(s.now()) {
		return BallotTurn{}, ErrNotFound
	}
	t = t.spoken()
	return t.forStaff(t.lastTurn()), nil
}

// EnterLast is [Service.SayLast] by floor on a guest's behalf.
func (s *Service) EnterLast(ctx context.Context, by Session, seatID AssessorID, given map[string]string,
	comment string) (Outcome, Ballot, error) {
	if err := by.may(ActServe); err != nil {
		return 0, Ballot{}, err
	}
	t, err := s.seatFor(ctx, by, seatID)
	if err != nil {
		return 0, Ballot{}, err
	}
	t = t.spoken()
	outcome, back, err := s.sayLast(ctx, t, given, comment, by.Who())
	back.Turn = t.forStaff(back.Turn)
	return outcome, back, err
}

// sealLast seals the last question under the codes on the plates of the last turn, so that a
// phone without network can ask it when that was answered; nil where there is none to hold.
func (s *Service) sealLast(t seatState) (*Sealed, error) {
	n := len(t.turns)
	if n == 0 || t.study.Spec.Panel.LastQuestion == "" || t.study.State != Open || t.assessor.SaidLast.Given() {
		return nil, nil
	}
	x := t.turns[n-1]
	if x.reads() || t.next() == n || !t.opened[x.Sitting] {
		return nil, nil
	}
	view, err := json.Marshal(t.lastTurn().View())
	if err != nil {
		return nil, err
	}
	length := (len(view) + sealBlock - 1) / sealBlock * sealBlock
	view = append(view, bytes.Repeat([]byte(" "), length-len(view))...)
	salt := sha256.Sum256([]byte(s.derive("seal last", string(x.ID), string(x.Key()))))
	sealed, err := s.sealUnder(salt[:16], x, x.Key(), view)
	return &sealed, err
}
