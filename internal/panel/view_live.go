package panel

import (
	"context"
	"slices"
	"time"

	"cloche/internal/design"
	"cloche/internal/study"
)

// PaceWindow is how far back the pace looks.
const PaceWindow = 10 * time.Minute

// Live is the board of a study while it runs: numbers, and for lead and partner
// the seats. It has no field for dishes, names, samples or answers.
type Live struct {
	State    State
	All      Tally // of every sitting; lead and partner only
	Declined int   // said no; lead and partner only
	Ending
	Sittings []LiveSitting
	Out      StillOut      // lead and partner only
	Decision Decision      // of a plan that may end early; lead and partner only
	Looks    *LiveLooks    // of a plan with looks; lead and partner only
	Strata   []LiveStratum // who came, where samples are dealt on arrival; lead and partner only
}

// LiveSitting is the board of one sitting.
type LiveSitting struct {
	Tally
	Number   int
	Opened   time.Time
	Declined int

	Refused   int // servings
	Revealed  int // servings for which the blind was broken
	Dropped   int // plates
	Incidents int // that floor noted

	Waves Waves

	NotSetDown int // servings that were rated although no plate was noted as set down

	Pace      float64   // rated servings per minute over [PaceWindow], or since the sitting opened when that is less
	End       time.Time // expected at this pace, in the study’s zone; zero when there is none, or a wave is held back
	Imbalance int       // over positions: most servings of one sample rated there, less the fewest of another

	Longest []LiveSeat // who waits for a plate, longest first
	Seats   []LiveSeat // by label; lead and partner only
}

// LiveSeat is a seat on the board.
type LiveSeat struct {
	Label    int
	Seat     string // in the floor's words
	State    SeatState
	Over, Of int
	Waiting  time.Duration
}

// Live returns the board: for lead and partner of any study, for kitchen and floor of
// their sitting. Kitchen gets numbers alone.
func (s *Service) Live(ctx context.Context, by Session, studyID StudyID) (Live, error) {
	extent := May(by.Role, KnowProgress, Open)
	if by.Role == RoleAssessor || extent == Nothing || extent != Whole && by.StudyID != studyID {
		return Live{}, ErrRefused
	}
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return Live{}, err
	}
	counted, err := s.evening(ctx, stored)
	if err != nil {
		return Live{}, err
	}
	live := Live{State: stored.State, Ending: stored.Ending()}
	if extent == Whole {
		live.All = counted.tally(AllSittings)
		if live.Decision, err = s.decision(ctx, stored); err != nil {
			return Live{}, err
		}
		if stored.State == Open && len(stored.Spec.Plan.Looks) > 0 {
			looks, _, err := s.liveLooks(ctx, stored, counted)
			if err != nil {
				return Live{}, err
			}
			live.Looks = &looks
		}
		live.Out = s.stillOut(counted.seats, counted.now)
		if live.Strata, err = s.strata(ctx, counted); err != nil {
			return Live{}, err
		}
	}
	for _, x := range counted.sittings {
		if extent != Whole && x.ID != by.SittingID {
			continue
		}
		one := counted.sitting(x)
		if extent == Counts {
			one.Seats, one.Longest = nil, nil
		}
		if extent == Whole {
			live.Declined += x.Declined
		}
		live.Sittings = append(live.Sittings, one)
	}
	return live, nil
}

// sitting counts one sitting.
func (e evening) sitting(x Sitting) LiveSitting {
	l := LiveSitting{Tally: e.tally(x.Number), Waves: e.wavesOf(x), Number: x.Number, Opened: x.OpenedAt,
		Declined: x.Declined}
	e.servings(&l, x)
	for _, t := range e.at(x.Number) {
		l.addSeat(t, e.now)
	}
	slices.SortStableFunc(l.Longest, func(a, b LiveSeat) int { return int(b.Waiting - a.Waiting) })
	if l.toCome > 0 && l.Pace > 0 && !l.Waves.Held() { // when held plates come, nobody's pace tells
		l.End = e.now.Add(time.Duration(float64(l.toCome) / l.Pace * float64(time.Minute))).In(e.study.Zone())
	}
	return l
}

// servings counts what does not depend on who has which place.
func (e evening) servings(l *LiveSitting, sitting Sitting) {
	here := map[ServingID]bool{}
	for _, x := range e.plated(sitting.Number) {
		if !x.RefusedAt.IsZero() {
			l.Refused += len(x.Servings)
		}
		_, answered := e.answered[x.ID]
		for _, v := range x.Servings {
			here[v.ID] = true
			if !v.RevealedAt.IsZero() {
				l.Revealed++
			}
			if answered && v.Role == design.Rated && v.ServedAt.IsZero() {
				l.NotSetDown++
			}
		}
	}
	for _, d := range e.dropped {
		if here[d.ServingID] && d.TakenBack.IsZero() {
			l.Dropped++
		}
	}
	l.Incidents = e.incidentsAt(sitting.Number)
	l.Pace = e.pace(sitting)
	l.Imbalance = e.imbalance(sitting.Number)
}

// pace returns how many plates of a sitting are answered per minute.
func (e evening) pace(sitting Sitting) float64 {
	recent := 0
	for _, x := range e.plated(sitting.Number) {
		if at, done := e.answered[x.ID]; done && e.now.Sub(at) < PaceWindow {
			recent += len(x.Servings)
		}
	}
	return float64(recent) / min(PaceWindow, max(e.now.Sub(sitting.OpenedAt), time.Minute)).Minutes()
}

// addSeat lists one seat of the sitting.
func (l *LiveSitting) addSeat(t seatState, now time.Time) {
	s := LiveSeat{Label: t.assessor.Label(), Seat: t.assessor.Seat, State: t.stateAt(l.Number, now)}
	s.Over, s.Of = t.count(l.Number)
	if s.State == SeatWaiting {
		s.Waiting = t.waiting(now)
		l.Longest = append(l.Longest, s)
	}
	l.Seats = append(l.Seats, s)
}

// imbalance returns the largest difference, over positions, between how often two
// samples were rated there. It is a number alone: which samples is not said.
func (e evening) imbalance(sitting int) int {
	samples := map[study.SampleID]bool{}
	counts := map[int]map[study.SampleID]int{}
	servings := 0
	for _, x := range e.plated(sitting) {
		_, answered := e.answered[x.ID]
		for _, v := range x.Servings {
			if v.Role != design.Rated || v.undealt() {
				continue
			}
			servings++
			samples[v.Sample] = true
			if !answered {
				continue
			}
			if counts[v.Position] == nil {
				counts[v.Position] = map[study.SampleID]int{}
			}
			counts[v.Position][v.Sample]++
		}
	}
	worst := 0
	for _, at := range counts {
		least, most := servings, 0
		for x := range samples {
			least, most = min(least, at[x]), max(most, at[x])
		}
		worst = max(worst, most-least)
	}
	return worst
}
