package panel

import (
	"context"
	"slices"
)

// PaperBallots is what floor prints for guests without phones: before consent, and of
// each place of its sitting the turns to come. Like a [Ballot] it has no field for dishes,
// sample ids, the question or the hypothesis; and no name is on it, since floor may know
// that of a serving only when it goes out, and says it then. Names that are read before
// any tasting are not printed: floor asks for them.
type PaperBallots struct {
	Welcome
	Sitting      int
	Instructions string
	Screening    []ScreenAsk
	TasteOnce    bool
	Guests       []PaperGuest
	Undealt      bool // places are dealt when a guest sits down: those of seated guests alone are here
}

// PaperGuest are the turns of one place, in order; none of them was answered or refused.
type PaperGuest struct {
	Label int // as floor knows the place
	Turns []BallotTurn
	Last  *BallotTurn // the last question, handed out once the last plate was answered; nil = none
}

// PaperBallots returns the ballots of floor's sitting to print. [ErrNotOpen] unless the
// study is open: names belong to servings from then on.
func (s *Service) PaperBallots(ctx context.Context, by Session) (PaperBallots, error) {
	sitting, stored, err := s.at(ctx, by, ActServe)
	if err != nil {
		return PaperBallots{}, err
	}
	a := spoken(ctx, stored.Spec)
	b := PaperBallots{Welcome: newWelcome(a, stored.Spec.Languages), Sitting: sitting.Number,
		Instructions: a.Texts.Instructions, Screening: screenAsks(a), TasteOnce: a.Serving.TasteOnce,
		Undealt: a.Serving.DealtOnArrival()}
	e, err := s.evening(ctx, stored)
	if err != nil {
		return PaperBallots{}, err
	}
	e.study.Spec = a
	b.Guests = e.onPaper(sitting, b.Undealt)
	return b, nil
}

// onPaper gathers what is still to be answered at each place of a sitting. Where places
// are dealt on arrival, nobody knows yet what comes to one that is free.
func (e evening) onPaper(sitting Sitting, dealt bool) (guests []PaperGuest) {
	seated := map[int]seatState{}
	for _, t := range e.seats {
		seated[t.assessor.Place] = t
	}
	for rest := e.plan; len(rest) > 0; {
		place := rest[0].Place
		n := slices.IndexFunc(rest, func(x Turn) bool { return x.Place != place })
		if n < 0 {
			n = len(rest)
		}
		t := seated[place]
		if e.vacant[place] {
			t = newSeat(Assessor{Place: place, SittingID: sitting.ID}, e.study, []Sitting{sitting}, rest[:n], nil)
		}
		rest = rest[n:]
		t.study.Spec = e.study.Spec
		if e.vacant[place] && dealt {
			continue
		}
		if g := t.onPaper(sitting.Number); len(g.Turns) > 0 {
			guests = append(guests, g)
		}
	}
	return guests
}

// onPaper is what is still to be answered at one sitting.
func (t seatState) onPaper(sitting int) PaperGuest {
	g := PaperGuest{Label: t.assessor.Label()}
	if !t.assessor.LeftAt.IsZero() || !t.assessor.WithdrawnAt.IsZero() {
		return g
	}
	for i, x := range t.turns {
		if i >= t.next() && x.Sitting == sitting && !x.reads() && !t.over(x) {
			g.Turns = append(g.Turns, t.ballotTurn(i).nameless())
		}
	}
	last := len(t.turns) - 1
	if last >= 0 && t.study.Spec.Panel.LastQuestion != "" && t.turns[last].Sitting == sitting && len(g.Turns) > 0 {
		asked := t.lastTurn()
		g.Last = &asked
	}
	return g
}

// nameless is the turn without the names of its servings.
func (b BallotTurn) nameless() BallotTurn {
	b.Name, b.Plates, b.Asks = "", namelessPlates(b.Plates), slices.Clone(b.Asks)
	for i := range b.Asks {
		b.Asks[i].Plates = namelessPlates(b.Asks[i].Plates)
	}
	return b
}

func namelessPlates(plates []BallotPlate) []BallotPlate {
	plates = slices.Clone(plates)
	for i := range plates {
		plates[i].Name = ""
	}
	return plates
}
