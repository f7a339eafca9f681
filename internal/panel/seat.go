package panel

import (
	"context"
	"errors"
	"fmt"
	"time"

	"cloche/internal/study"
)

// Welcome returns what a person reads before consent at the sitting of a join
// link. [ErrNotFound] when there is no such link.
func (s *Service) Welcome(ctx context.Context, join string) (Welcome, error) {
	sitting, kept, err := s.joined(ctx, join)
	if err != nil {
		return Welcome{}, err
	}
	a := spoken(ctx, kept.Asked)
	w := Welcome{
		Language: a.Languages[0], Languages: kept.Asked.Languages,
		Greeting: a.Texts.Welcome, Consent: a.Texts.Consent, Invented: a.Invented,
		Open: kept.State == Open,
	}
	w.Allergens, w.Contains = cautions(a)
	for _, d := range a.Dishes {
		w.Alcohol = w.Alcohol || d.Alcohol
	}
	if w.Open {
		w.Full, err = s.full(ctx, kept, sitting)
	}
	return w, err
}

func (s *Service) joined(ctx context.Context, join string) (Sitting, Study, error) {
	sitting, err := s.store.SittingByJoin(ctx, join)
	if err != nil {
		return Sitting{}, Study{}, err
	}
	kept, err := s.Study(ctx, sitting.StudyID)
	return sitting, kept, err
}

// full reports whether every place of the sitting is taken.
func (s *Service) full(ctx context.Context, kept Study, sitting Sitting) (bool, error) {
	free, err := s.store.FreePlaces(ctx, kept.ID, sitting.Number)
	return free == 0, err
}

// cautions returns the union of allergens in full words of the study's first
// language, and the notes beside them.
func cautions(a *study.Study) (words, notes []string) {
	union, notes := a.AllergenUnion()
	for _, x := range union {
		words = append(words, x.TextIn(a.Languages[0]))
	}
	return words, notes
}

// Consent seats a person who agreed, and returns the token of the personal
// link. The same nonce again returns the same token. [ErrFull] and [ErrNotOpen]
// as they say.
func (s *Service) Consent(ctx context.Context, join, nonce string) (token string, err error) {
	sitting, kept, err := s.joined(ctx, join)
	if err != nil {
		return "", err
	}
	token = s.derive("seat", sitting.ID, nonce)
	id, err := s.token(12)
	if err != nil {
		return "", err
	}
	a := Assessor{ID: id, StudyID: sitting.StudyID, SittingID: sitting.ID, JoinedAt: s.now()}
	seated, err := s.store.Seat(ctx, a, hash(token))
	if err != nil {
		return "", fmt.Errorf("seat an assessor: %w", err)
	}
	if seated.ID != id {
		return token, nil // sent twice
	}
	return token, s.log(ctx, sitting.StudyID, fmt.Sprintf("assessor %d", seated.Label()), "consented", began(ctx, kept.Asked))
}

// Decline counts a person who should not taste. Nothing about the person is kept.
func (s *Service) Decline(ctx context.Context, join, nonce string) error {
	sitting, err := s.store.SittingByJoin(ctx, join)
	if err != nil {
		return err
	}
	return s.store.Decline(ctx, sitting.ID, hash(nonce), s.now())
}

// SeatedAt reports whether token is the link of an assessor at the sitting of
// join, so that a phone that opens the join link again goes on where it was.
func (s *Service) SeatedAt(ctx context.Context, token, join string) bool {
	a, err := s.store.AssessorByToken(ctx, hash(token))
	if err != nil {
		return false
	}
	sitting, err := s.store.SittingByJoin(ctx, join)
	return err == nil && a.SittingID == sitting.ID
}

// Start notes that the assessor has read the instructions.
func (s *Service) Start(ctx context.Context, token string) error {
	a, err := s.store.AssessorByToken(ctx, hash(token))
	if err != nil {
		return err
	}
	return s.store.Start(ctx, a.ID, s.now())
}

// seat is an assessor with what the ballot needs to go on.
type seat struct {
	assessor Assessor
	study    Study    // asked in the assessor's language
	offered  []string // languages
	servings []Serving
	answered map[string]time.Time
}

// next returns the first serving without answers, from 0; len(servings) when done.
func (t seat) next() int {
	for i, v := range t.servings {
		if _, done := t.answered[v.ID]; !done {
			return i
		}
	}
	return len(t.servings)
}

// rest returns what is left of the rinse pause at now.
func (t seat) rest(now time.Time) time.Duration {
	n := t.next()
	if n == 0 || n == len(t.servings) {
		return 0
	}
	pause := time.Duration(t.study.Asked.Serving.RinseSeconds) * time.Second
	left := pause - now.Sub(t.answered[t.servings[n-1].ID])
	return min(max(left, 0), pause) // a clock that was set back does not lengthen the pause
}

func (s *Service) seat(ctx context.Context, token string) (seat, error) {
	a, err := s.store.AssessorByToken(ctx, hash(token))
	if err != nil {
		return seat{}, err
	}
	kept, err := s.Study(ctx, a.StudyID)
	if err != nil {
		return seat{}, err
	}
	sittings, err := s.store.Sittings(ctx, a.StudyID)
	if err != nil {
		return seat{}, err
	}
	number := 0
	for _, x := range sittings {
		if x.ID == a.SittingID {
			number = x.Number
		}
	}
	t := seat{assessor: a, study: kept, offered: kept.Asked.Languages}
	t.study.Asked = spoken(ctx, kept.Asked)
	if t.servings, err = s.store.Servings(ctx, a.StudyID, a.Place, number); err != nil {
		return seat{}, err
	}
	t.answered, err = s.store.AnsweredServings(ctx, a.ID)
	return t, err
}

// Ballot returns what the assessor of a personal link may see now.
func (s *Service) Ballot(ctx context.Context, token string) (Ballot, error) {
	t, err := s.seat(ctx, token)
	if err != nil {
		return Ballot{}, err
	}
	a := t.study.Asked
	b := Ballot{Of: len(t.servings), Invented: a.Invented, Language: a.Languages[0], Languages: t.offered}
	b.Allergens, b.Contains = cautions(a)
	n, rest := t.next(), t.rest(s.now())
	switch {
	case n == len(t.servings):
		b.Stage, b.Thanks = StageDone, a.Texts.Thanks
	case t.study.State != Open:
		b.Stage = StageClosed
	case t.assessor.StartedAt.IsZero():
		b.Stage, b.Instructions = StageInstructions, a.Texts.Instructions
	case rest > 0:
		b.Stage, b.Rinse, b.Next = StageRinse, rest, n+1
	default:
		b.Stage, b.Serving = StageServing, ballotServing(a, t.servings[n], n+1)
	}
	if t.study.State == Closed {
		b.Debrief = a.Texts.Debrief
	}
	return b, nil
}

func ballotServing(a *study.Study, v Serving, number int) BallotServing {
	b := BallotServing{ID: v.ID, Number: number, Code: v.Code, Name: a.NameText(v.Sample)}
	for i, x := range a.Attributes {
		ask := Ask{
			Field: fmt.Sprintf("a%d", i+1), Text: x.Ask, Line: x.Scale.Kind == study.Line,
			Low: x.Scale.Low, High: x.Scale.High, From: x.Scale.Min(), To: x.Scale.Max(),
		}
		if !ask.Line {
			ask.Labels = x.Scale.Labels
		}
		b.Asks = append(b.Asks, ask)
	}
	return b
}

// Rate records the answers of one serving, by field name. A serving that was
// rated already is left as it is: a double tap or the back button does no harm.
// An [AnswerError] says which answers are missing or off their scale; then
// nothing is recorded and the returned ballot holds what was given.
func (s *Service) Rate(ctx context.Context, token, servingID string, given map[string]string) (Ballot, error) {
	t, err := s.seat(ctx, token)
	if err != nil {
		return Ballot{}, err
	}
	at := -1
	for i, v := range t.servings {
		if v.ID == servingID {
			at = i
		}
	}
	switch {
	case at < 0:
		return Ballot{}, ErrNotFound
	case at < t.next():
		return Ballot{}, nil // rated already
	case at > t.next():
		return Ballot{}, ErrNotFound // not yet its turn
	case t.study.State != Open:
		return Ballot{}, ErrNotOpen
	}
	now := s.now()
	answers, problems := answer(t.study.Asked, servingID, given, now)
	if len(problems) > 0 {
		back := Ballot{Stage: StageServing, Of: len(t.servings), Invented: t.study.Asked.Invented}
		back.Language, back.Languages = t.study.Asked.Languages[0], t.offered
		back.Allergens, back.Contains = cautions(t.study.Asked)
		back.Serving = ballotServing(t.study.Asked, t.servings[at], at+1)
		for i := range back.Serving.Asks {
			ask := &back.Serving.Asks[i]
			ask.Given, ask.Problem = given[ask.Field], problems[ask.Field]
		}
		return back, &AnswerError{Fields: problems}
	}
	_, err = s.store.Rate(ctx, t.assessor.ID, servingID, answers, at == len(t.servings)-1)
	if errors.Is(err, ErrNotOpen) {
		return Ballot{}, ErrNotOpen
	}
	if err != nil {
		return Ballot{}, fmt.Errorf("record the answers of a serving: %w", err)
	}
	return Ballot{}, nil
}
