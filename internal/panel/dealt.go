package panel

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// Dealt is the sample that an assessor got on arrival, where each gets one and who
// belongs to which stratum is known only then.
type Dealt struct {
	Arrival int // from 1, in the order of arrival
	Place   int // from 0
	Stratum int32
	Sample  study.SampleID
	At      time.Time
	Again   bool // to somebody who had the place before, and went before any plate
}

// Dealing deals a sample to a newcomer, in the step that seats them.
type Dealing struct {
	Stratum int32
	// Deal returns what comes after all that was dealt before, and the name that goes
	// with it; "" where that is blind.
	Deal func(before []Dealt) (study.SampleID, study.NameID, error)
	Note func(Dealt) Event
}

// StratumAsk is what decides to which stratum a newcomer belongs. Field is its name on the
// form and in the address of a table's card ("g1", "g2", …).
type StratumAsk struct {
	Field   string
	Text    string   // the question to the guest; the stratum's id where the staff say it
	Staff   bool     // the staff say it
	Levels  []string // to choose from, from 1
	Given   int      // 0: nothing
	Problem Problem  // what is wrong with it; "" = nothing
}

func strataAsks(a *study.Study) []StratumAsk {
	var asks []StratumAsk
	for i, x := range a.Serving.Strata {
		ask := StratumAsk{Field: fmt.Sprintf("g%d", i+1), Text: x.Ask, Levels: x.Levels}
		if x.Ask == "" {
			ask.Text, ask.Staff = x.ID, true
		}
		asks = append(asks, ask)
	}
	return asks
}

// answerStrata reads levels, from 1, by field name. The asks come back with what was given;
// complete reports whether every one has its level.
func answerStrata(a *study.Study, given map[string]int) (levels []int, asks []StratumAsk, complete bool) {
	asks, complete = strataAsks(a), true
	for i := range asks {
		ask := &asks[i]
		if n := given[ask.Field]; n >= 1 && n <= len(ask.Levels) {
			ask.Given = n
			levels = append(levels, n-1)
			continue
		}
		ask.Problem, complete = NoChoice, false
	}
	return levels, asks, complete
}

// dealing deals to a newcomer with answers to what decides the stratum; nil in a study that
// deals nothing on arrival. [ErrStratum] when an answer is missing.
func (s *Service) dealing(stored Study, given map[string]int) (*Dealing, error) {
	spec := stored.Spec
	if !spec.Serving.DealtOnArrival() {
		return nil, nil
	}
	levels, _, complete := answerStrata(spec, given)
	if !complete {
		return nil, ErrStratum
	}
	arrivals, err := design.NewArrivals(spec, stored.Lock.Seed, stored.Lock.Engine)
	if err != nil {
		return nil, err
	}
	stratum, err := arrivals.Stratum(levels)
	if err != nil {
		return nil, err
	}
	return &Dealing{Stratum: stratum,
		Deal: func(before []Dealt) (study.SampleID, study.NameID, error) { return dealNext(stored, before, stratum) },
		Note: func(d Dealt) Event {
			return s.event(stored.ID, Assessor{Place: d.Place}.nameInLog(), "dealt", d.words(spec))
		},
	}, nil
}

// dealNext deals what comes after all that was dealt before, which it checks by dealing it again.
func dealNext(stored Study, before []Dealt, stratum int32) (study.SampleID, study.NameID, error) {
	arrivals, err := design.NewArrivals(stored.Spec, stored.Lock.Seed, stored.Lock.Engine)
	if err != nil {
		return "", "", err
	}
	for _, d := range before {
		if got, err := arrivals.Next(d.Stratum); err != nil || got != d.Sample {
			return "", "", fmt.Errorf("arrival %d of study %s: %w", d.Arrival, stored.ID, design.ErrDealtOtherwise)
		}
	}
	sample, err := arrivals.Next(stratum)
	x, _ := stored.Spec.Sample(sample)
	return sample, x.Name, err
}

// In names the stratum by its levels.
func (d Dealt) In(a *study.Study) string {
	return strings.Join(design.StratumLevels(a, d.Stratum), ", ")
}

// words say for the log to whom a sample was dealt, and never which.
func (d Dealt) words(a *study.Study) string {
	text := fmt.Sprintf("arrival %d: %s", d.Arrival, d.In(a))
	if d.Again {
		text += "; the place was freed before"
	}
	return text
}

// arrivalsOf are what was dealt, as package design checks it.
func arrivalsOf(dealt []Dealt) []design.Arrival {
	all := make([]design.Arrival, len(dealt))
	for i, d := range dealt {
		all[i] = design.Arrival{Place: d.Place, Stratum: d.Stratum, Sample: d.Sample}
	}
	return all
}

// DealtPlan is the plan of a closed study as it was served: [Study.FixedPlan] or, where samples
// were dealt on arrival, those who arrived in that order, with what they were dealt, which is
// checked by dealing it again. [ErrWrongState] before: the key stays shut until the last
// rating is in.
func (s *Service) DealtPlan(ctx context.Context, stored Study) (*design.Plan, error) {
	if stored.State != Closed {
		return nil, ErrWrongState
	}
	plan, err := stored.FixedPlan()
	if err != nil || !plan.OnArrival {
		return plan, err
	}
	dealt, err := s.store.Dealt(ctx, stored.ID)
	if err != nil {
		return nil, err
	}
	arrivals := arrivalsOf(dealt)
	plan, err = plan.Deal(stored.Spec, arrivals)
	if err != nil || len(arrivals) == 0 {
		return plan, err
	}
	return plan.InOrderOfArrival(arrivals), nil
}

// lottery is the plan of a closed study that collects ratings, to be drawn again; nil where
// nothing was dealt.
func (s *Service) lottery(ctx context.Context, stored Study) (*analysis.Lottery, error) {
	if !stored.Spec.Question.CollectsRatings() {
		return nil, nil // choices are tested against chance itself
	}
	plan, err := s.DealtPlan(ctx, stored)
	if err != nil || !plan.OnArrival {
		return &analysis.Lottery{Plan: plan}, err
	}
	dealt, err := s.store.Dealt(ctx, stored.ID)
	if err != nil || len(dealt) == 0 {
		return nil, err
	}
	labels := make([]string, len(dealt))
	for i, d := range dealt {
		labels[i] = analysis.AssessorLabel(d.Place)
	}
	return &analysis.Lottery{Plan: plan, Labels: labels}, nil
}

// inStrata writes on ratings to which stratum their assessors belong.
func (s *Service) inStrata(ctx context.Context, stored Study, rated []analysis.Rating) ([]analysis.Rating, error) {
	if !stored.Spec.Serving.DealtOnArrival() {
		return rated, nil
	}
	dealt, err := s.store.Dealt(ctx, stored.ID)
	stratum := map[string]string{}
	for _, d := range dealt {
		stratum[strconv.Itoa(d.Place+1)] = d.In(stored.Spec)
	}
	for i := range rated {
		rated[i].Stratum = stratum[rated[i].Assessor]
	}
	return rated, err
}

// Arrived counts the people of a stratum to whom samples were dealt.
type Arrived struct {
	Stratum   string
	Dealt     []int // by sample, in the order of the study
	Finished  int   // those who withdrew since too
	Withdrawn int
}

// Arrived counts for the report of a closed study who arrived, by stratum in the order of
// levels; empty where nothing is dealt on arrival. Strata to which nobody belonged are left out.
func (s *Service) Arrived(ctx context.Context, studyID StudyID) ([]Arrived, error) {
	stored, err := s.closed(ctx, studyID)
	if err != nil {
		return nil, err
	}
	dealt, err := s.store.Dealt(ctx, studyID)
	if err != nil {
		return nil, err
	}
	people, err := s.store.Assessors(ctx, studyID)
	if err != nil {
		return nil, err
	}
	at := map[int]Assessor{}
	for _, a := range people {
		at[a.Place] = a
	}
	var all []Arrived
	slices.SortStableFunc(dealt, func(x, y Dealt) int { return int(x.Stratum) - int(y.Stratum) })
	for _, d := range dealt {
		if n := len(all); n == 0 || all[n-1].Stratum != d.In(stored.Spec) {
			all = append(all, Arrived{Stratum: d.In(stored.Spec), Dealt: make([]int, len(stored.Spec.Samples))})
		}
		all[len(all)-1].count(stored.Spec, d, at[d.Place])
	}
	return all, nil
}

func (x *Arrived) count(spec *study.Study, d Dealt, a Assessor) {
	for i, sample := range spec.Samples {
		if sample.ID == d.Sample {
			x.Dealt[i]++
		}
	}
	if !a.FinishedAt.IsZero() {
		x.Finished++
	}
	if !a.WithdrawnAt.IsZero() {
		x.Withdrawn++
	}
}

// TableCard is a combination of what the staff say of guests, with what stands in the
// address of its card for the table.
type TableCard struct{ Words, Query string }

// tableCards are the combinations of levels that the staff say; none where guests are asked
// everything.
func tableCards(a *study.Study) []TableCard {
	var cards []TableCard
	for _, ask := range strataAsks(a) {
		if !ask.Staff {
			continue
		}
		before := cards
		if before == nil {
			before = []TableCard{{}}
		}
		cards = nil
		for _, b := range before {
			for i, level := range ask.Levels {
				cards = append(cards, TableCard{strings.TrimPrefix(b.Words+", "+level, ", "),
					strings.TrimPrefix(b.Query+"&"+ask.Field+"="+strconv.Itoa(i+1), "&")})
			}
		}
	}
	return cards
}

// maxTableCards bounds what is printed: with more, the staff say the level at the table.
const maxTableCards = 24

// TableCards are the cards for the tables of a study whose strata the staff know.
func TableCards(a *study.Study) []TableCard {
	cards := tableCards(a)
	return cards[:min(len(cards), maxTableCards)]
}

// undealt reports whether a serving has no sample yet.
func (v Serving) undealt() bool { return v.Sample == "" }

// onlyDish is the dish that all samples are of; false when there are several.
func onlyDish(a *study.Study) (study.DishID, bool) {
	for _, x := range a.Samples {
		if x.Dish != a.Samples[0].Dish {
			return "", false
		}
	}
	return a.Samples[0].Dish, true
}

// dishOf is the dish of a serving; false while it is open which one that is.
func dishOf(a *study.Study, v Serving) (study.DishID, bool) {
	if v.undealt() {
		return onlyDish(a)
	}
	x, _ := a.Sample(v.Sample)
	return x.Dish, true
}
