package panel

import (
	"cmp"
	"context"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"
)

// MaxComment is the longest comment, in characters.
const MaxComment = 1000

// maxSubmissionID bounds what is looked up.
const maxSubmissionID = 64

// Submission is what a phone sends for one turn.
//
// A phone without network keeps submissions and sends them later, in whatever
// order they get through, some of them twice. ID makes each count once. Seq says
// in which order the phone made them: clocks of phones are not trusted.
type Submission struct {
	ID      string // made by the phone or the page, at most 64 bytes; unique for the assessor
	Seq     int    // from 1, counted up by the phone with each submission; 0 = not counted
	TurnID  TurnID
	Code    string            // codes typed from the plates, with spaces; needed for a turn that is not due yet
	Given   map[string]string // answers by field name
	Comment string            // dropped when the study asks for none
	Waited  time.Duration     // how long the phone kept it before it was sent: the rinse began that much earlier
}

// Outcome is what became of a submission. The zero value is none.
type Outcome int

// The outcomes.
const (
	_          Outcome = iota
	Recorded           // the first answers of the turn
	Repeated           // this submission was taken before; nothing changed
	Corrected          // replaced the answers, which are kept aside
	Superseded         // made before the answers that stand; kept aside
	TooLate            // a later turn was answered first; kept aside
	AfterClose         // arrived after the study was closed; kept aside
)

var outcomeWords = [...]string{"", "recorded", "repeated", "corrected", "superseded", "too late", "after close"}

// String gives the outcome's word.
func (o Outcome) String() string {
	if o < 0 || int(o) >= len(outcomeWords) {
		return ""
	}
	return outcomeWords[o]
}

// Receipt says what became of a submission and what the service holds now.
type Receipt struct {
	Outcome Outcome
	TurnID  TurnID
	Held    map[string]string // the answers that stand, by field name
	Comment string            // the comment that stands

	// Back is the ballot to show again after an [AnswerError].
	Back Ballot
}

// Standing is what judging a submission needs to know.
type Standing struct {
	Held    bool  // the turn has answers
	HeldSeq int   // of the submission they came with; 0 = not counted
	Later   []int // the same of every later turn that has answers
	Plates  []int // those of Later that are of plates, not of names that are read
	Closed  bool  // the study is closed
}

// judge says what to do with a submission. The first answers to arrive are
// recorded, in whatever order turns arrive; but whoever has tasted can no longer
// say what they expect of a name (read). Further answers for the turn are
// a correction when the assessor made them after those that stand and before
// answering a later turn. Where both were counted by the phone, its count says
// what was before; otherwise the order of arrival does. What arrives after the
// close is kept aside: the key may be known by then.
func judge(seq int, read bool, st Standing) Outcome {
	switch {
	case st.Closed:
		return AfterClose
	case !st.Held && read && after(seq, st.Plates):
		return TooLate
	case !st.Held:
		return Recorded
	case seq > 0 && st.HeldSeq > 0 && seq < st.HeldSeq:
		return Superseded
	case after(seq, st.Later):
		return TooLate
	}
	return Corrected
}

// after reports whether a submission was made after any of others.
func after(seq int, others []int) bool {
	for _, x := range others {
		if seq == 0 || x == 0 || x < seq {
			return true
		}
	}
	return false
}

// Submit takes a submission of the assessor of a personal link. It is taken once,
// however often it arrives, and the receipt says what is held.
//
// The turn that is due, and those before it, are taken as they come. A later one is
// taken when Code is on its plates: the phone opened it without network (see
// [Service.Ahead]), and what comes between is still on its way. [ErrNotFound]
// otherwise, and for a name that is not due yet.
//
// An [AnswerError] says which answers are missing or off their scale; then nothing
// is recorded, and Back holds what was given. [ErrWithdrawn] after withdrawal.
func (s *Service) Submit(ctx context.Context, token SeatToken, sub Submission) (Receipt, error) {
	t, err := s.seatOfLink(ctx, token)
	if err != nil {
		return Receipt{}, err
	}
	i := t.index(sub.TurnID)
	if i < 0 {
		return Receipt{}, ErrNotFound
	}
	if t.stage(s.now()) == StageScreening {
		return Receipt{}, ErrNotFound // no page of ours sends answers before
	}
	if may, err := s.mayAnswer(ctx, t, i, sub.Code); err != nil || !may {
		return Receipt{}, cmp.Or(err, ErrNotFound)
	}
	if x := t.turns[i]; i > t.next() && (x.reads() || CodesTyped(sub.Code) != x.Key()) {
		return Receipt{}, ErrNotFound
	}
	return s.submit(ctx, t, i, sub, "")
}

// submit takes a submission for the turn at i. enteredBy is who of the staff
// typed it, "" when it was the assessor.
func (s *Service) submit(ctx context.Context, t seatState, i int, sub Submission, enteredBy string) (Receipt, error) {
	if sub.ID == "" || len(sub.ID) > maxSubmissionID || sub.Seq < 0 {
		return Receipt{}, fmt.Errorf("%w: a submission needs an id of at most %d bytes", ErrBadValue, maxSubmissionID)
	}
	now, read := s.now(), t.turns[i].reads()
	answers, comment, problems := t.check(i, sub)
	if len(problems) > 0 {
		return Receipt{TurnID: sub.TurnID, Back: t.back(i, sub, problems)}, &AnswerError{Fields: problems}
	}
	ended := t.study.Ending().over(now)
	outcome, err := s.store.Submit(ctx, Submitted{Ended: ended,
		ID: sub.ID, Seq: sub.Seq, AssessorID: t.assessor.ID, TurnID: sub.TurnID,
		Answers: answers, Comment: comment, EnteredBy: enteredBy, At: now,
		Waited: sub.Waited, RestedAt: t.restedAt(now, sub.Waited),
	}, func(st Standing) (Outcome, *Event) {
		if t.assessor.SaidLast.Given() {
			st.Later = append(st.Later, 0) // what was rated stays as it was before the last question
		}
		outcome := judge(sub.Seq, read, st)
		return outcome, s.noteSubmission(t, i, outcome, enteredBy)
	})
	if err != nil {
		return Receipt{}, fmt.Errorf("record the answers of a turn: %w", err)
	}
	s.changed(t.study.ID)
	if outcome == Recorded { // what stands is what came
		return Receipt{Outcome: outcome, TurnID: sub.TurnID, Held: t.fields(i, answers), Comment: comment}, nil
	}
	return s.receipt(ctx, t, i, outcome)
}

// check reads what was given for the turn at i; problems is by field name, and empty when a phone may
// go on.
func (t seatState) check(i int, sub Submission) (answers []Answer, comment string, problems map[string]Problem) {
	x := t.turns[i]
	if t.commentAsk(x) != "" {
		comment = strings.TrimSpace(sub.Comment)
	}
	answers, problems = responses[x.Response].read(t, x, sub.Given)
	if utf8.RuneCountInString(comment) > MaxComment {
		problems["comment"] = TooLong
	}
	return answers, comment, problems
}

// noteSubmission is the log's entry for what is out of the ordinary: corrections,
// and what staff entered. Plain ratings are in the table of ratings: nil.
func (s *Service) noteSubmission(t seatState, i int, outcome Outcome, enteredBy string) *Event {
	who, what := t.assessor.nameInLog(), map[Outcome]string{
		Corrected: "corrected", Superseded: "correction kept aside", TooLate: "correction kept aside",
		AfterClose: "answers after close kept aside"}[outcome]
	if enteredBy != "" {
		who = enteredBy
	}
	if what == "" && enteredBy != "" && outcome == Recorded {
		what = "entered"
	}
	if what == "" {
		return nil
	}
	e := s.event(t.study.ID, who, what, t.called(i))
	return &e
}

func (s *Service) receipt(ctx context.Context, t seatState, i int, outcome Outcome) (Receipt, error) {
	id := t.turns[i].ID
	held, answers, err := s.store.Answers(ctx, id)
	if isMissing(err) { // taken, and withdrawn since
		return Receipt{Outcome: outcome, TurnID: id}, nil
	}
	if err != nil {
		return Receipt{}, err
	}
	return Receipt{Outcome: outcome, TurnID: id, Held: t.fields(i, answers), Comment: held.Comment}, nil
}

// back is the ballot as it was filled in, with what is wrong.
func (t seatState) back(i int, sub Submission, problems map[string]Problem) Ballot {
	b := t.blank()
	b.Stage = StageServing
	if t.turns[i].reads() {
		b.Stage = StageNames
	}
	_, b.Of = t.number(i)
	b.Together = t.together(i)
	b.Turn = t.ballotTurn(i)
	for k := range b.Turn.Asks {
		ask := &b.Turn.Asks[k]
		ask.Given, ask.Problem = sub.Given[ask.Field], problems[ask.Field]
	}
	b.Turn.GivenComment, b.Turn.Problem = sub.Comment, problems["comment"]
	return b
}
