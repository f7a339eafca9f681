package panel

import (
	"context"
	"errors"
	"math"
	"slices"
	"strconv"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// fewestTold is how many people have to stand behind what a guest is told of everybody:
// of fewer, somebody at the table could be found out (common practice, no source).
const fewestTold = 5

// Told is what a guest reads after the close, where the study tells its result: their own
// answers beside everybody's, and what was found. It holds nobody else's answer.
type Told struct {
	Rated []ToldAsk
	Found ToldFinding
}

// ToldFinding is what the primary comparison came to.
type ToldFinding struct {
	Code analysis.VerdictCode // "" when there is no answer to tell
	// of two samples of which one was rated higher; "" otherwise
	Ask, Higher, Lower string
}

// ToldAsk is one question with what was answered for each sample that the guest rated.
type ToldAsk struct {
	Ask       string
	Line      bool // answers are places on a line, else one of a few labels
	Low, High string
	From, To  float64
	Samples   []ToldSample
}

// ToldSample is what the guest answered for a sample, and what everybody did.
type ToldSample struct {
	Called string  // its name; of a blind one its dish
	Own    float64 // on a line
	Label  string  // else
	People int     // who answered; 0 = too few to tell of them
	Mean   float64 // of People, on a line
	Same   int     // of People, who chose the same label, the guest included
}

// tellsResult reports whether the guest may read what was found: after the close, where
// the study says so, and unless they took their answers out.
func (t seatState) tellsResult() bool {
	return t.study.State == Closed && t.study.Spec.Panel.TellResult && t.assessor.WithdrawnAt.IsZero()
}

// Told returns what the assessor of a personal link is told of the result. [ErrNotFound]
// before the close, where the study does not tell it, and for who took their answers out.
func (s *Service) Told(ctx context.Context, token SeatToken) (Told, error) {
	t, err := s.seatOfLink(ctx, token)
	if err != nil {
		return Told{}, err
	}
	if !t.tellsResult() {
		return Told{}, ErrNotFound
	}
	stored, in, err := s.analysed(ctx, t.study.ID)
	if err != nil {
		return Told{}, err
	}
	found, err := s.findings.of(stored.ID, stored.Spec, in.ratings, in.options)
	if errors.Is(err, analysis.ErrNoRatings) {
		return Told{}, nil
	}
	if err != nil {
		return Told{}, err
	}
	said := newAnswersTold(stored.Spec, in, strconv.Itoa(t.assessor.Place+1))
	return Told{Rated: said.asks(t.study.Spec), Found: outcome(t.study.Spec, found.Findings)}, nil
}

// answersTold are all ratings of a study by what was rated and by whom.
type answersTold struct {
	own string // whose page it is
	of  map[ratedIn]map[string][]float64
	out map[string]string // who is left out of the analysis
}

type ratedIn struct {
	attribute study.AttributeID
	sample    study.SampleID
}

func newAnswersTold(spec *study.Study, in toAnalyse, own string) answersTold {
	a := answersTold{own: own, of: map[ratedIn]map[string][]float64{},
		out: analysis.ScreenedOut(spec, in.options.Screened)}
	for _, r := range in.ratings {
		at := ratedIn{r.Attribute, r.Sample}
		if a.of[at] == nil {
			a.of[at] = map[string][]float64{}
		}
		a.of[at][r.Assessor] = append(a.of[at][r.Assessor], r.Value)
	}
	return a
}

// asks are the questions that the guest answered on a line or by a label, in the order and
// the language of spec.
func (a answersTold) asks(spec *study.Study) (list []ToldAsk) {
	for _, on := range spec.Attributes {
		if on.Scale.Kind == "" || on.Scale.Kind == study.WordList {
			continue
		}
		ask := ToldAsk{Ask: on.Ask, Line: on.Scale.Kind == study.Line, Low: on.Scale.Low, High: on.Scale.High,
			From: on.Scale.Min(), To: on.Scale.Max()}
		for _, x := range spec.Samples {
			if told, ok := a.sample(on, x.ID); ok {
				told.Called = calledAt(spec, x)
				ask.Samples = append(ask.Samples, told)
			}
		}
		if len(ask.Samples) > 0 {
			list = append(list, ask)
		}
	}
	return list
}

// sample is what was answered for a sample; ok is false when the guest did not rate it.
// Who rated it several times counts once: on a line with their mean, else with the first.
func (a answersTold) sample(on study.Attribute, id study.SampleID) (told ToldSample, ok bool) {
	all := a.of[ratedIn{on.ID, id}]
	own := all[a.own]
	if len(own) == 0 {
		return told, false
	}
	told.Own = meanOf(own)
	if on.Scale.Kind != study.Line {
		told.Label = labelAt(on.Scale, own[0])
	}
	sum := 0.0
	for assessor, values := range all {
		if a.out[assessor] != "" {
			continue
		}
		told.People++
		sum += meanOf(values)
		if values[0] == own[0] {
			told.Same++
		}
	}
	if told.People < fewestTold {
		told.People, told.Same = 0, 0
		return told, true
	}
	told.Mean = sum / float64(told.People)
	return told, true
}

func meanOf(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// labelAt is the label that a value stands for.
func labelAt(s study.Scale, value float64) string {
	if i := int(math.Round(value - s.Min())); i >= 0 && i < len(s.Labels) {
		return s.Labels[i]
	}
	return ""
}

// calledAt is what a sample is called in front of guests, and where two have one name, the
// dish too; of a blind one its dish.
func calledAt(spec *study.Study, x study.Sample) string {
	name, dish := spec.NameText(x.ID), ""
	if d, ok := spec.Dish(x.Dish); ok {
		dish = d.Title
	}
	twice := slices.ContainsFunc(spec.Samples, func(y study.Sample) bool { return y.ID != x.ID && y.Name == x.Name })
	switch {
	case name == "":
		return dish
	case twice:
		return name + " (" + dish + ")"
	}
	return name
}

// outcome is what the primary finding came to. A threshold is no comparison, and there
// is nothing to tell of a study without one.
func outcome(spec *study.Study, findings []analysis.Finding) ToldFinding {
	if len(findings) == 0 || findings[0].Role != analysis.Primary || findings[0].Kind == analysis.KindThreshold {
		return ToldFinding{}
	}
	f := findings[0]
	o := ToldFinding{Code: f.Verdict.Code}
	rated := f.Kind == analysis.KindPair || f.Kind == analysis.KindGroups
	if !rated || !f.Verdict.Different() || len(f.Comparison) != 2 || f.Value == 0 || math.IsNaN(f.Value) {
		return o
	}
	higher, lower := f.Comparison[0], f.Comparison[1]
	if f.Value < 0 {
		higher, lower = lower, higher
	}
	for _, on := range spec.Attributes {
		if on.ID == f.Attribute {
			o.Ask = on.Ask
		}
	}
	for _, x := range spec.Samples {
		switch x.ID {
		case higher:
			o.Higher = calledAt(spec, x)
		case lower:
			o.Lower = calledAt(spec, x)
		}
	}
	return o
}
