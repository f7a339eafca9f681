package panel

import (
	"context"
	"fmt"
	"strings"
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
	StagePlate     // the code on the plate opens the serving
	StageLast      // the last question, after all plates
)

// AgeAsked is what a person confirms of their age before consent.
type AgeAsked struct {
	Asked   bool
	Minimum int // in years; 0: the age that the law sets for alcohol
}

func ageAsked(a *study.Study) AgeAsked { return AgeAsked{a.AsksAge(), a.Panel.MinimumAge} }

// PhoneConsent is what a person confirms on a phone beside the consent itself.
type PhoneConsent struct {
	OldEnough bool           // as [AgeAsked] asks
	Table     int            // whose card they joined with; 0 = none
	Levels    map[string]int // what decides the stratum: levels, from 1, by field
}

// Welcome is what a person reads before consent. It has no field for dishes,
// names or the question.
type Welcome struct {
	Greeting string
	study.Contents
	Age       AgeAsked
	Strata    []StratumAsk
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
// ids, the question, the hypothesis or any later turn.
type Ballot struct {
	Stage        Stage
	Label        int // the assessor's number, as floor knows it
	Table, Seat  int // where they sit; 0 = not known
	Instructions string
	Turn         BallotTurn    // StageServing and StageNames; StageLast: what is asked, without a turn
	Gate         PlateGate     // StagePlate
	Screening    []ScreenAsk   // StageScreening
	Names        int           // StageInstructions: names that are read first
	Rinse        time.Duration // StageRinse: what is left of the pause
	Pause        time.Duration // between turns
	Answered     bool          // StageRinse: the turn before was answered, not tasted alone
	Next         int           // StageRinse: number of the turn that follows
	Of           int           // turns at this sitting; StageNames: names to read
	Together     int           // servings of the largest turn at this sitting; 1: they come one after another
	TasteOnce    bool          // what stands on a tray is not tasted again
	Gated        bool          // StageInstructions: servings open by the codes on their plates
	AloneFirst   bool          // StageInstructions: a serving comes first that is only tasted
	Thanks       string        // until the study is closed
	Debrief      string        // only after close
	TellsResult  bool          // [Service.Told] has something to read
	OneQuestion  bool          // of a turn are shown one by one
	study.Contents
	Invented  bool
	Language  string   // BCP 47, of all these words
	Languages []string // to choose from

	Lent        bool // on the house's tablet, which the next guest gets
	Grouped     bool // they said on arrival what decides their stratum, which stays when answers go
	AfterClose  int  // servings with answers that arrived after the close, and do not count
	Ending           // of the whole evening
	MayCorrect  bool // the turn answered last, until the next one is answered; see [Service.Correctable]
	MayWithdraw bool
	MayStop     bool // end here and keep the answers
	LeftSelf    bool // StageLeft: by their own wish

	WithdrawUntil time.Time // in the study’s time zone; zero while it is open
}

// BallotTurn is what is in front of the assessor: a serving, several side by side, or
// a name that they read before any tasting. Such a name has no plate, and nothing
// says for which serving it will stand.
type BallotTurn struct {
	ID         TurnID
	Number, Of int  // from 1, at this sitting; names are numbered apart
	Read       bool // a name that is read; nothing is served
	Code       PlateCodes
	// that is read, or of the one plate; "" when blind, and where each of several has its own
	Name         string
	Plates       []BallotPlate // in the order in which they stand and are tasted
	Asks         []Ask
	AskComment   string  // question of the comment box; "" = no box
	GivenComment string  // what was typed
	Problem      Problem // what is wrong with the comment; "" = nothing
	Language     string  // of the study's words in it, BCP 47, on pages of staff; "" = the page's
}

// BallotPlate is one plate of a turn. Pages and their scripts read the same.
type BallotPlate struct {
	At    int         `json:"at"` // its place on the tray, from 1, which a choice of it names
	Code  design.Code `json:"code"`
	Name  string      `json:"name"`  // "" when blind
	Known bool        `json:"known"` // the reference with which the others are compared
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
	NoPlace  Problem = "no place"     // a serving without a place in the order
	OnePlace Problem = "one place"    // two servings at the same place
	NoTick   Problem = "no tick"      // no word ticked, and not that none fits
	BothTick Problem = "both tick"    // words ticked, and that none fits
	TooLong  Problem = "too long"     // a comment of more than [MaxComment] characters
)

// Ask is one question. Field is its name on the form: "a1", "a2", … for the attributes.
// Pages and their scripts read the same, but for what was typed, which scripts keep
// themselves and no seal holds.
type Ask struct {
	Field  string        `json:"field"`
	Text   string        `json:"text"`
	Line   bool          `json:"line"`
	Low    string        `json:"low"` // line: word at the left end
	High   string        `json:"high"`
	From   float64       `json:"from"` // line: values at the ends
	To     float64       `json:"to"`
	Number bool          `json:"number"` // line: the value of a mark is shown
	Labels []string      `json:"labels"` // categories: from value 1
	Plates []BallotPlate `json:"plates"` // to choose from, but for the Known; with Labels, what they are said of
	None   string        `json:"none"`   // label of choosing none of Plates, value 0; "" where one has to be chosen
	Rank   bool          `json:"rank"`   // every one of Plates gets a place in an order
	Pairs  bool          `json:"pairs"`  // one of Plates is chosen that goes with the first, which is Known
	Values []int         `json:"values"` // of Labels, of which all that fit are ticked; 0 is that none does
	// Language is that of the study's words in it, BCP 47, on pages of staff; "" = the page's.
	Language string  `json:"lang,omitempty"`
	Given    string  `json:"-"` // what was typed, when a form comes back
	Problem  Problem `json:"-"` // what is wrong with it; "" = nothing
}

// PlaceOf is the place that was given to the i-th of Plates, from 0; "" for none.
func (a Ask) PlaceOf(i int) string {
	if places := strings.Split(a.Given, BetweenAnswers); i < len(places) {
		return places[i]
	}
	return ""
}

// FirstInput is the id of the first input of the question on its form.
func (a Ask) FirstInput() string {
	switch {
	case a.Line:
		return a.Field
	case a.Ticks():
		return fmt.Sprintf("%s-%d", a.Field, a.Values[0])
	case len(a.Plates) > 0 && a.Plates[0].Known: // the reference comes first
		return fmt.Sprintf("%s-%d", a.Field, a.Plates[1].At)
	}
	return a.Field + "-1"
}

// Ballot returns what the assessor of a personal link may see now.
func (s *Service) Ballot(ctx context.Context, token SeatToken) (Ballot, error) {
	t, err := s.seatOfLink(ctx, token)
	if err != nil {
		return Ballot{}, err
	}
	return t.ballot(s.now()), nil
}

// ballot is what the assessor may see at now.
func (t seatState) ballot(now time.Time) Ballot {
	a := t.study.Spec
	b := t.blank()
	b.Stage = t.stage(now)
	b.MayWithdraw = t.study.mayWithdraw(now) && t.assessor.WithdrawnAt.IsZero()
	if b.MayWithdraw {
		b.WithdrawUntil = in(t.study.WithdrawUntil(), t.study.Zone())
	}
	b.MayStop, b.LeftSelf = t.mayStop(now), t.assessor.LeftSelf
	n := t.next()
	if n < len(t.turns) {
		b.Next, b.Of = t.number(n)
	} else if n > 0 {
		_, b.Of = t.number(n - 1)
	}
	b.Together = t.together(n)
	switch b.Stage {
	case StageDone, StageLeft:
		if t.study.State != Closed { // it asks, as a rule, for what is to be kept until then
			b.Thanks = a.Texts.Thanks
		}
	case StageScreening:
		b.Screening = screenAsks(a)
	case StageInstructions:
		b.Instructions, b.Gated = a.Texts.Instructions, a.Serving.PlateGate
		if t.turns[n].reads() {
			b.Names = b.Of
			n += b.Names // the first plate follows the names
		}
		b.AloneFirst = t.turns[n].Response == study.TasteOnly
		if b.AloneFirst {
			n++
		}
		_, b.Of = t.number(n)
	case StageRinse:
		b.Rinse, b.Answered = t.rest(now), t.correctable() >= 0
	case StageServing, StageNames:
		b.Turn = t.ballotTurn(n)
	case StageLast:
		b.Turn = t.lastTurn()
	case StagePlate:
		b.Gate = t.plateGate(n)
	case StageClosed, StageLater, StageWithdrawn:
	}
	if b.Stage != StageRinse {
		b.Next = 0
	}
	if t.study.State == Closed {
		b.Debrief = a.Texts.Debrief
	}
	b.TellsResult = t.tellsResult()
	b.AfterClose = t.afterClose
	b.MayCorrect = t.study.State == Open && t.assessor.WithdrawnAt.IsZero() && t.correctable() >= 0 && !t.tastedAll()
	return b
}

// Correctable returns the turn that the assessor answered last with the answers
// that stand, for a correction: a page of its own, so that nobody sees earlier
// ratings while rating. [ErrNotFound] when there is none; [ErrNotOpen] unless the
// study is open.
func (s *Service) Correctable(ctx context.Context, token SeatToken) (BallotTurn, error) {
	t, err := s.seatOfLink(ctx, token)
	if err != nil {
		return BallotTurn{}, err
	}
	if t.tastedAll() {
		return BallotTurn{}, ErrNotFound // the last question may have been read
	}
	return s.correctable(ctx, t)
}

// blank is what every ballot of the assessor says.
func (t seatState) blank() Ballot {
	a := t.study.Spec
	b := Ballot{Label: t.assessor.Label(), Table: t.assessor.Table, Seat: t.assessor.TableSeat, Invented: a.Invented,
		Language: a.Languages[0], Languages: t.offered}
	b.Contents, b.Grouped = a.Contents(), a.Serving.DealtOnArrival()
	b.TasteOnce, b.OneQuestion = a.Serving.TasteOnce, a.Serving.OneQuestion
	b.Ending, b.Lent = t.study.Ending(), t.lent
	b.Pause = time.Duration(a.Serving.RinseSeconds) * time.Second
	return b
}

// ballotTurn is the view of the turn at i.
func (t seatState) ballotTurn(i int) BallotTurn {
	x, a := t.turns[i], t.study.Spec
	b := BallotTurn{ID: x.ID, Read: x.reads(), Code: x.Key()}
	if b.Read {
		name, _ := a.Name(x.Name)
		b.Name = name.Text
	}
	b.AskComment = t.commentAsk(x)
	b.Plates = t.plates(x)
	if len(b.Plates) == 1 {
		b.Name = b.Plates[0].Name
	}
	b.Number, b.Of = t.number(i)
	b.Asks = responses[x.Response].asks(t, x)
	return b
}

// plates are the views of the plates of a turn.
func (t seatState) plates(x Turn) (plates []BallotPlate) {
	for i, v := range x.Servings {
		plates = append(plates, BallotPlate{At: i + 1, Code: v.Code, Name: t.study.Spec.NameText(v.Sample),
			Known: x.known(v)})
	}
	return plates
}

// commentAsk is the question of the comment box of a turn; "" = no box.
func (t seatState) commentAsk(x Turn) string {
	if x.reads() || x.Response == study.TasteOnly {
		return ""
	}
	return t.study.Spec.Texts.Comment
}

// correctable returns the turn that was answered last, or -1 when there is none with
// answers to change.
func (t seatState) correctable() int {
	i := t.last()
	if i >= 0 && t.turns[i].Response == study.TasteOnly {
		return -1
	}
	return i
}

// together is how many servings stand side by side at most at the sitting of the turn
// at i, or of the one before it at the end.
func (t seatState) together(i int) int {
	most := 1
	for _, x := range t.turns {
		if x.Sitting == t.turns[min(i, len(t.turns)-1)].Sitting {
			most = max(most, len(x.Servings))
		}
	}
	return most
}

func (s *Service) correctable(ctx context.Context, t seatState) (BallotTurn, error) {
	i := t.correctable()
	switch {
	case t.study.State != Open:
		return BallotTurn{}, ErrNotOpen
	case i < 0:
		return BallotTurn{}, ErrNotFound
	}
	held, answers, err := s.store.Answers(ctx, t.turns[i].ID)
	if err != nil {
		return BallotTurn{}, err
	}
	b := t.ballotTurn(i)
	given := t.fields(i, answers)
	for k := range b.Asks {
		b.Asks[k].Given = given[b.Asks[k].Field]
	}
	b.GivenComment = held.Comment
	return b, nil
}

// fields gives the answers of the turn at i by the name of their field.
func (t seatState) fields(i int, answers []Answer) map[string]string {
	x := t.turns[i]
	return responses[x.Response].fields(t, x, answers)
}
