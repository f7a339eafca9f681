package panel

import (
	"context"
	"fmt"
	"strconv"
	"time"

	"cloche/internal/design"
	"cloche/internal/study"
)

// Stage is what an assessor's phone shows next.
type Stage int

// The stages of a ballot.
const (
	StageInstructions Stage = iota
	StageScreening          // questions before the instructions
	StageNames              // a name to read before any tasting
	StageServing
	StageRinse
	StageDone
	StageClosed    // the study was closed before the ballot was finished
	StageLater     // goes on at a later sitting, with the same link
	StageLeft      // left, by their own wish or as floor noted
	StageWithdrawn // the answers were taken out
)

// AgeAsked is what a person confirms of their age before consent.
type AgeAsked struct {
	Asked   bool
	Minimum int // in years; 0: the age that the law sets for alcohol
}

func ageAsked(a *study.Study) AgeAsked { return AgeAsked{a.AsksAge(), a.Panel.MinimumAge} }

// PhoneConsent is what a person confirms on a phone beside the consent itself.
type PhoneConsent struct {
	OldEnough bool // as [AgeAsked] asks
}

// Welcome is what a person reads before consent. It has no field for dishes,
// names or the question.
type Welcome struct {
	Greeting string
	study.Contents
	Age       AgeAsked
	Minutes   int // that tasting takes, over all sittings
	Sittings  int // that an assessor attends
	Consent   string
	Invented  bool
	Stand     Stand
	Full      bool
	AskWord   bool     // the word of the evening has to be said
	Language  string   // BCP 47, of all these words
	Languages []string // to choose from
}

// Ballot is what an assessor may know now. It has no field for dishes, sample
// ids, the question, the hypothesis or any later serving.
type Ballot struct {
	Stage        Stage
	Label        int // the assessor's number, as floor knows it
	Instructions string
	Serving      BallotServing // StageServing and StageNames
	Screening    []ScreenAsk   // StageScreening
	Names        int           // StageInstructions: names that are read first
	Rinse        time.Duration // StageRinse: what is left of the pause
	Pause        time.Duration // between servings
	Next         int           // StageRinse: number of the serving that follows
	Of           int           // servings at this sitting; StageNames: names to read
	Thanks       string
	Debrief      string // only after close
	study.Contents
	Invented  bool
	Language  string   // BCP 47, of all these words
	Languages []string // to choose from

	AfterClose  int  // servings with answers that arrived after the close, and do not count
	MayCorrect  bool // the serving rated last, until the next one is rated; see [Service.Correctable]
	MayWithdraw bool
	MayStop     bool // end here and keep the answers
	LeftSelf    bool // StageLeft: by their own wish

	WithdrawUntil time.Time // zero while the study is open
}

// BallotServing is the serving in front of the assessor, or a name that they read
// before any tasting: then it has no code, and nothing says for which serving the
// name will stand.
type BallotServing struct {
	ID           string // random
	Number, Of   int    // from 1, at this sitting; names are numbered apart
	Read         bool   // a name that is read; nothing is served
	Code         string
	Name         string // "" when blind
	Asks         []Ask
	AskComment   string  // question of the comment box; "" = no box
	GivenComment string  // what was typed
	Problem      Problem // what is wrong with the comment; "" = nothing
}

// Problem is what is wrong with an answer. It is a stable word: pages say it in
// the assessor's language.
type Problem string

// The problems.
const (
	NoMark   Problem = "no mark"      // nothing given on a line
	NoChoice Problem = "no choice"    // no category chosen
	OffLine  Problem = "off the line" // no number, or none from From to To
	OffList  Problem = "off the list" // none of the categories
	TooLong  Problem = "too long"     // a comment of more than [MaxComment] characters
)

// Ask is one attribute to rate. Field is its name on the form ("a1", "a2", …).
type Ask struct {
	Field    string
	Text     string
	Line     bool
	Low      string // line: word at the left end
	High     string
	From, To float64  // line: values at the ends
	Number   bool     // line: the value of a mark is shown
	Labels   []string // categories: from value 1
	Given    string   // what was typed, when a form comes back
	Problem  Problem  // what is wrong with it; "" = nothing
}

// Ballot returns what the assessor of a personal link may see now.
func (s *Service) Ballot(ctx context.Context, token string) (Ballot, error) {
	t, err := s.seat(ctx, token)
	if err != nil {
		return Ballot{}, err
	}
	return t.ballot(s.now()), nil
}

// ballot is what the assessor may see at now.
func (t seat) ballot(now time.Time) Ballot {
	a := t.study.Asked
	b := t.blank()
	b.Stage = t.stage(now)
	b.MayWithdraw = t.study.mayWithdraw(now) && t.assessor.WithdrawnAt.IsZero()
	if b.MayWithdraw {
		b.WithdrawUntil = t.study.WithdrawUntil()
	}
	b.MayStop, b.LeftSelf = t.mayStop(now), t.assessor.LeftSelf
	n := t.next()
	if n < len(t.servings) {
		b.Next, b.Of = t.number(n)
	} else if n > 0 {
		_, b.Of = t.number(n - 1)
	}
	switch b.Stage {
	case StageDone, StageLeft:
		b.Thanks = a.Texts.Thanks
	case StageScreening:
		b.Screening = screenAsks(a)
	case StageInstructions:
		b.Instructions = a.Texts.Instructions
		if t.servings[n].IsRead() {
			b.Names = b.Of
			_, b.Of = t.number(b.Names) // of the first plate, which follows the names
		}
	case StageRinse:
		b.Rinse = t.rest(now)
	case StageServing, StageNames:
		b.Serving = t.ballotServing(n)
	case StageClosed, StageLater, StageWithdrawn:
	}
	if b.Stage != StageRinse {
		b.Next = 0
	}
	if t.study.State == Closed {
		b.Debrief = a.Texts.Debrief
	}
	b.AfterClose = t.afterClose
	b.MayCorrect = t.study.State == Open && t.assessor.WithdrawnAt.IsZero() && t.last() >= 0
	return b
}

// Correctable returns the serving that the assessor rated last with the answers
// that stand, for a correction: a page of its own, so that nobody sees earlier
// ratings while rating. [ErrNotFound] when there is none; [ErrNotOpen] unless the
// study is open.
func (s *Service) Correctable(ctx context.Context, token string) (BallotServing, error) {
	t, err := s.seat(ctx, token)
	if err != nil {
		return BallotServing{}, err
	}
	return s.correctable(ctx, t)
}

// blank is what every ballot of the assessor says.
func (t seat) blank() Ballot {
	a := t.study.Asked
	b := Ballot{Label: t.assessor.Label(), Invented: a.Invented, Language: a.Languages[0], Languages: t.offered}
	b.Contents = a.Contents()
	b.Pause = time.Duration(a.Serving.RinseSeconds) * time.Second
	return b
}

// ballotServing is the view of the serving at i.
func (t seat) ballotServing(i int) BallotServing {
	v := t.servings[i]
	b := BallotServing{ID: v.ID, Read: v.IsRead(), Code: v.Code, Name: t.study.Asked.NameText(v.Sample)}
	if !b.Read {
		b.AskComment = t.study.Asked.Texts.Comment
	}
	b.Number, b.Of = t.number(i)
	for _, i := range design.AttributeOrder(t.study.Asked, t.study.Lock.Seed, t.assessor.Place) {
		x := t.study.Asked.Attributes[i]
		ask := Ask{
			Field: fieldOf(i), Text: x.Ask, Line: x.Scale.Kind == study.Line,
			Low: x.Scale.Low, High: x.Scale.High, From: x.Scale.Min(), To: x.Scale.Max(),
			Number: t.study.Asked.Serving.ShowNumbers,
		}
		if !ask.Line {
			ask.Labels = x.Scale.Labels
		}
		b.Asks = append(b.Asks, ask)
	}
	return b
}

// fieldOf is the name on the form of the attribute at i.
func fieldOf(i int) string { return fmt.Sprintf("a%d", i+1) }

func (s *Service) correctable(ctx context.Context, t seat) (BallotServing, error) {
	i := t.last()
	switch {
	case t.study.State != Open:
		return BallotServing{}, ErrNotOpen
	case i < 0:
		return BallotServing{}, ErrNotFound
	}
	held, answers, err := s.store.Answers(ctx, t.servings[i].ID)
	if err != nil {
		return BallotServing{}, err
	}
	b := t.ballotServing(i)
	given := fields(t.study.Asked, answers)
	for k := range b.Asks {
		b.Asks[k].Given = given[b.Asks[k].Field]
	}
	b.GivenComment = held.Comment
	return b, nil
}

// fields gives answers by the name of their field.
func fields(a *study.Study, answers []Answered) map[string]string {
	at := map[study.AttributeID]string{}
	for i, x := range a.Attributes {
		at[x.ID] = fieldOf(i)
	}
	given := make(map[string]string, len(answers))
	for _, x := range answers {
		given[at[x.Attribute]] = strconv.FormatFloat(x.Value, 'f', -1, 64)
	}
	return given
}
