package panel

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// closed returns a study whose key may be opened. [ErrWrongState] before: it stays shut
// until the last rating is in.
func (s *Service) closed(ctx context.Context, studyID StudyID) (Study, error) {
	stored, err := s.Study(ctx, studyID)
	if err == nil && stored.State != Closed {
		err = ErrWrongState
	}
	return stored, err
}

// Ratings returns the ratings of a closed study. [ErrWrongState] before: the
// key stays shut until the last rating is in.
func (s *Service) Ratings(ctx context.Context, studyID StudyID) (Study, []analysis.Rating, error) {
	stored, err := s.closed(ctx, studyID)
	if err != nil {
		return Study{}, nil, err
	}
	answers, err := s.store.KeyedAnswers(ctx, studyID)
	if err != nil {
		return Study{}, nil, err
	}
	rated, err := s.prepared(ctx, stored, answers)
	return stored, rated, err
}

// prepared are the ratings as they are analysed: with the strata of people, and with before which
// look each was in.
func (s *Service) prepared(ctx context.Context, stored Study, answers []KeyedAnswer) ([]analysis.Rating, error) {
	rated := ratings(answers)
	sittings, err := s.openedSittings(ctx, stored.ID)
	if err != nil {
		return nil, err
	}
	markLooks(rated, answers, stored, sittings)
	return s.inStrata(ctx, stored, rated)
}

// ratings are those that are analysed.
func ratings(all []KeyedAnswer) (out []analysis.Rating) {
	early, arrived := outOfTurn(all), answeredAs(all)
	for i, r := range all {
		if r.Role != design.Rated {
			continue // a warm-up or a reference is not analysed, and what was expected apart
		}
		out = append(out, analysis.Rating{
			Assessor: strconv.Itoa(r.Place + 1), Turn: r.Turn, Position: r.Position, Sitting: r.Sitting,
			Code:   r.Code,
			Sample: r.Sample, Reference: r.Reference, Attribute: r.Attribute, Value: r.Value, Revealed: r.Revealed,
			NotSetDown: r.NotSetDown, OutOfTurn: early[i], Seconds: r.Took.Seconds(),
			Arrived:    arrived[turnAt{r.Place, r.Turn}],
			WrongPlate: r.had(AteAnother), TastedEarly: r.had(TastedEarly), Talked: r.had(Talked),
			Spilt: r.had(Spilt), Unwell: r.had(Unwell),
		})
	}
	return out
}

// had tells whether something went wrong with its turn.
func (r KeyedAnswer) had(what Incident) bool { return slices.Contains(r.Incidents, what) }

// outOfTurn tells of each answer, by place and turn, whether the phone sent it before that
// of a turn which the plan has earlier. Phones count what they send.
func outOfTurn(all []KeyedAnswer) []bool {
	early := make([]bool, len(all))
	place, latest := -1, 0
	for i, r := range all {
		if r.Place != place {
			place, latest = r.Place, 0
		}
		early[i] = r.Seq > 0 && r.Seq < latest
		latest = max(latest, r.Seq)
	}
	return early
}

// expectations are what was expected of names that were read before tasting.
func expectations(all []KeyedAnswer) (out []analysis.Expectation) {
	for _, r := range all {
		if r.Role == design.Expected {
			out = append(out, analysis.Expectation{Assessor: strconv.Itoa(r.Place + 1), Name: r.Name,
				Attribute: r.Attribute, Value: r.Value})
		}
	}
	return out
}

// Findings analyses a closed study, or gives what it found before where nothing has changed
// since: read it, and leave it as it is. [ErrWrongState] before it is closed.
func (s *Service) Findings(ctx context.Context, studyID StudyID) (Study, *analysis.Result, error) {
	stored, in, err := s.analysed(ctx, studyID)
	if err != nil {
		return Study{}, nil, err
	}
	found, err := s.findings.of(stored.ID, stored.Spec, in.ratings, in.options)
	if err != nil {
		return Study{}, nil, fmt.Errorf("analyse study: %w", err)
	}
	return stored, found, nil
}

// toAnalyse is what the analysis of a closed study takes.
type toAnalyse struct {
	ratings []analysis.Rating
	options analysis.Options
}

func (s *Service) analysed(ctx context.Context, studyID StudyID) (stored Study, in toAnalyse, err error) {
	stored, err = s.closed(ctx, studyID)
	if err != nil {
		return Study{}, in, err
	}
	rated, err := s.store.KeyedAnswers(ctx, studyID)
	if err != nil {
		return Study{}, in, err
	}
	left, err := s.excluded(ctx, studyID)
	if err != nil {
		return Study{}, in, err
	}
	versions, err := s.plans(ctx, stored)
	if err != nil {
		return Study{}, in, err
	}
	after, err := s.afterClose(ctx, stored)
	if err != nil {
		return Study{}, in, err
	}
	screened, ended, err := s.conduct(ctx, stored, rated)
	if err != nil {
		return Study{}, in, err
	}
	people, err := s.store.Assessors(ctx, studyID)
	if err != nil {
		return Study{}, in, err
	}
	guessed := guesses(people)
	inStrata, err := s.prepared(ctx, stored, rated)
	if err != nil {
		return Study{}, in, err
	}
	drawn, err := s.lottery(ctx, stored)
	if err != nil {
		return Study{}, in, err
	}
	outside, err := s.Stamped(ctx, studyID)
	if err != nil {
		return Study{}, in, err
	}
	return stored, toAnalyse{inStrata, analysis.Options{PlanHash: stored.Lock.PlanHash, Lottery: drawn, Excluded: left,
		Expected: expectations(rated), Guessed: guessed, Screened: screened, Ended: ended, Versions: versions,
		Signed: signature(stored.Countersigned), Stamped: outside, AfterClose: after}}, nil
}

// plans are the versions of a study that were locked, for the report to show; nil
// when there is one only.
func (s *Service) plans(ctx context.Context, stored Study) ([]analysis.Version, error) {
	lines, err := s.Versions(ctx, stored.ID)
	if err != nil {
		return nil, err
	}
	var plans []analysis.Version
	for _, v := range lines {
		if v.State != Draft {
			plans = append(plans, analysis.Version{Number: v.Number, This: v.ID == stored.ID, Reason: v.Reason,
				Before:   v.RatingsBefore,
				LockedAt: timeText(v.LockedAt), StudyHash: v.StudyHash, PlanHash: v.PlanHash})
		}
	}
	if len(plans) < 2 {
		return nil, nil // nothing to show, and no error
	}
	return plans, nil
}

func signature(c Countersign) *analysis.Signature {
	if c.At.IsZero() {
		return nil
	}
	return &analysis.Signature{Name: c.Name, At: timeText(c.At)}
}

// excluded counts who is not in the ratings, with the reason.
func (s *Service) excluded(ctx context.Context, studyID StudyID) ([]analysis.Exclusion, error) {
	people, err := s.store.Assessors(ctx, studyID)
	withdrawn := 0
	for _, a := range people {
		if !a.WithdrawnAt.IsZero() {
			withdrawn++
		}
	}
	if withdrawn == 0 {
		return nil, err
	}
	return []analysis.Exclusion{{Reason: analysis.ReasonWithdrawn, Count: withdrawn}}, err
}

// pastMidnight is the hour of the clock until which the service of the day before still goes on.
const pastMidnight = 6

// serviceDay is the day in a time zone to which a moment belongs.
func serviceDay(at time.Time, zone *time.Location) string {
	if at.IsZero() {
		return ""
	}
	year, month, day := at.In(zone).Date()
	if at.In(zone).Hour() < pastMidnight {
		day--
	}
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
}

// conduct returns what was said to screening questions, and how tasting ended.
func (s *Service) conduct(ctx context.Context, stored Study, rated []KeyedAnswer) ([]analysis.Screened, *analysis.Ended,
	error) {
	people, err := s.store.Assessors(ctx, stored.ID)
	if err != nil {
		return nil, nil, err
	}
	sittings, err := s.openedSittings(ctx, stored.ID)
	if err != nil {
		return nil, nil, err
	}
	var last time.Time
	for _, r := range rated {
		last = later(last, r.At)
	}
	finished := 0
	for _, a := range people { // whoever took their answers out since has tasted all the same
		if !a.FinishedAt.IsZero() {
			finished++
			last = later(last, a.FinishedAt)
		}
	}
	ended := &analysis.Ended{
		Finished: finished, Sittings: len(sittings), LastDay: serviceDay(last, stored.Zone()),
		Closed: serviceDay(stored.ClosedAt, stored.Zone()),
	}
	return screened(people), ended, nil
}

func screened(people []Assessor) (said []analysis.Screened) {
	for _, a := range people {
		for _, x := range a.Screening {
			said = append(said, analysis.Screened{Assessor: strconv.Itoa(a.Label()), Question: x.Question,
				Answer: x.Answer})
		}
	}
	return said
}

// Arrivals number the turns that were answered, by place and turn from 1, in the order in
// which their answers reached the service.
func (c Collected) Arrivals() func(place, turn int) int {
	arrived := answeredAs(c.Answers)
	return func(place, turn int) int { return arrived[turnAt{place, turn}] }
}

// Comment is what an assessor wrote about a turn.
type Comment struct {
	Assessor  int            // label
	Turn      int            // from 1
	Position  int            // from 1; 0 for a warm-up, a reference and several servings at once
	Code      design.Code    // "" for several servings at once
	Sample    study.SampleID // "" for several servings at once
	Text      string
	EnteredBy string // who of the staff typed it; "" = the assessor
}

// Collected is everything that was collected in a study, for the data package.
type Collected struct {
	Answers   []KeyedAnswer // those to warm-ups and references too
	Comments  []Comment
	People    []Assessor
	Turns     []Turn    // the plan as it was served, with the codes that stood on the plates
	Dealt     []Dealt   // what was dealt on arrival, in the order of arrival
	Dropped   []Dropped // codes before plates were dropped
	Incidents []NotedIncident
	Replaced  []Replaced // answers that were corrected
	Screened  []analysis.Screened
	Measured  []Measured // temperatures
	Events    []Event
	Looks     []LookTaken // planned looks, in order
	WhyNot    WhyCounts   // of those who said no
}

// LookOf is before which planned look something came at a moment, from 1.
func (c Collected) LookOf(at time.Time) int { return lookOf(at, c.Looks) }

// What the log says of who agreed to take part, on a phone and at the table.
const (
	eventConsented = "consented"
	eventSeated    = "guest seated"
)

// GaveUp is how many agreed and gave their place up before any plate, so that somebody else
// may have had it.
func (c Collected) GaveUp() int {
	agreed := 0
	for _, e := range c.Events {
		if e.What == eventConsented || e.What == eventSeated {
			agreed++
		}
	}
	return max(0, agreed-len(c.People))
}

// Collected returns everything that was collected. [ErrWrongState] before the
// study is closed.
func (s *Service) Collected(ctx context.Context, studyID StudyID) (Study, Collected, error) {
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return Study{}, Collected{}, err
	}
	if stored.State != Closed {
		return Study{}, Collected{}, ErrWrongState
	}
	c, err := s.collect(ctx, studyID)
	if err != nil {
		return Study{}, Collected{}, fmt.Errorf("collect what a study gave: %w", err)
	}
	return stored, c, nil
}

func (s *Service) collect(ctx context.Context, studyID StudyID) (c Collected, err error) {
	if c.Answers, err = s.store.KeyedAnswers(ctx, studyID); err != nil {
		return c, err
	}
	if c.Turns, err = s.store.AllTurns(ctx, studyID); err != nil {
		return c, err
	}
	if c.WhyNot, err = s.store.WhyDeclined(ctx, studyID); err != nil {
		return c, err
	}
	if c.Dealt, err = s.store.Dealt(ctx, studyID); err != nil {
		return c, err
	}
	if c.Dropped, err = s.store.Dropped(ctx, studyID); err != nil {
		return c, err
	}
	if c.Incidents, err = s.store.Incidents(ctx, studyID); err != nil {
		return c, err
	}
	if c.Replaced, err = s.store.ReplacedAll(ctx, studyID); err != nil {
		return c, err
	}
	if c.Events, err = s.store.Events(ctx, studyID); err != nil {
		return c, err
	}
	people, err := s.store.Assessors(ctx, studyID)
	if err != nil {
		return c, err
	}
	c.People, c.Screened = people, screened(people)
	sittings, err := s.store.Sittings(ctx, studyID)
	if err != nil {
		return c, err
	}
	c.Looks = looksTaken(sittings)
	for _, x := range sittings {
		log, err := s.store.Temperatures(ctx, x.ID)
		if err != nil {
			return c, err
		}
		c.Measured = append(c.Measured, log...)
	}
	answered, err := s.store.AnsweredTurns(ctx, studyID)
	c.Comments = comments(c.Turns, answered)
	return c, err
}

// comments gives the comments in the order of the plan.
func comments(plan []Turn, answered []AnsweredTurn) []Comment {
	written := map[TurnID]AnsweredTurn{}
	for _, r := range answered {
		written[r.TurnID] = r
	}
	var all []Comment
	for _, x := range plan {
		r := written[x.ID]
		if r.Comment == "" {
			continue
		}
		c := Comment{Assessor: x.Place + 1, Turn: x.Order + 1, Text: r.Comment, EnteredBy: r.EnteredBy}
		if len(x.Servings) == 1 {
			v := x.Servings[0]
			c.Position, c.Code, c.Sample = v.Position, v.Code, v.Sample
		}
		all = append(all, c)
	}
	return all
}
