package phones

import (
	"context"
	"fmt"
	"math"
	"strconv"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/words"
)

// told is what a guest reads of the result, in their language.
type told struct {
	Found string // "" when there is nothing to tell
	Asks  []toldAsk
}

type toldAsk struct {
	panel.ToldAsk
	Samples []toldSample
}

// toldSample has the answers as they are written and, on a line, where they stand on a
// drawing that is lineWide wide.
type toldSample struct {
	Called, Own, All string
	OwnAt, AllAt     int
	HasAll           bool
}

// The line of the drawing, in its own units: it begins at lineFrom.
const lineFrom, lineWide = 10, 280

// tell is what is told on the page of a ballot; nil before the close, and where nothing is.
func (s *handlers) tell(ctx context.Context, b panel.Ballot, token panel.SeatToken) (*told, error) {
	if !b.TellsResult {
		return nil, nil // nothing is told, and no error
	}
	t, err := s.Panel.Told(ctx, token)
	if err != nil {
		return nil, err
	}
	return toldIn(words.In(b.Language), t), nil
}

func toldIn(w words.Words, t panel.Told) *told {
	page := &told{Found: foundWords(w, t.Found)}
	for _, a := range t.Rated {
		ask := toldAsk{ToldAsk: a}
		for _, x := range a.Samples {
			ask.Samples = append(ask.Samples, sampleTold(w, a, x))
		}
		page.Asks = append(page.Asks, ask)
	}
	return page
}

func sampleTold(w words.Words, a panel.ToldAsk, x panel.ToldSample) toldSample {
	s := toldSample{Called: x.Called, Own: x.Label, HasAll: x.People > 0}
	if !a.Line {
		if s.HasAll {
			s.All = fmt.Sprintf(w.SameAnswer, x.Same, x.People)
		}
		return s
	}
	s.Own, s.OwnAt = rounded(w, x.Own, a), onLine(x.Own, a)
	if s.HasAll {
		s.All, s.AllAt = fmt.Sprintf(w.AllMarks, x.People)+": "+rounded(w, x.Mean, a), onLine(x.Mean, a)
	}
	return s
}

// onLine is where a value stands on the drawing.
func onLine(x float64, a panel.ToldAsk) int {
	share := (x - a.From) / (a.To - a.From)
	return lineFrom + int(math.Round(lineWide*min(max(share, 0), 1)))
}

// rounded writes a value to a hundredth of the line, or a tenth of a point where that is more.
func rounded(w words.Words, x float64, a panel.ToldAsk) string {
	digits := max(0, 2-int(math.Floor(math.Log10(a.To-a.From))))
	short, err := strconv.ParseFloat(strconv.FormatFloat(x, 'f', digits, 64), 64)
	if err != nil {
		return w.Number(x)
	}
	return w.Number(short)
}

// foundWords says what the primary comparison came to.
func foundWords(w words.Words, o panel.ToldFinding) string {
	switch o.Code {
	case analysis.DifferentAct, analysis.DifferentSizeOpen:
		if o.Higher != "" {
			return fmt.Sprintf(w.FoundHigher, o.Ask, o.Higher, o.Lower)
		}
		return w.FoundOne
	case analysis.DifferentSmall:
		return w.FoundSmall
	case analysis.Alike:
		return w.FoundAlike
	case analysis.Open:
		return w.FoundOpen
	case analysis.TooFew:
		return w.FoundFew
	}
	return ""
}
