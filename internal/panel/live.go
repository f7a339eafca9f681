package panel

import (
	"context"
	"slices"
	"time"
)

// PaceWindow is how far back the pace looks.
const PaceWindow = 10 * time.Minute

// Live is the board of a study while it runs: numbers, and for lead and partner
// the seats. It has no field for dishes, names, samples or answers.
type Live struct {
	State    State
	Sittings []LiveSitting
}

// LiveSitting is the board of one sitting.
type LiveSitting struct {
	Number   int
	Opened   time.Time
	Places   int // of the plan
	Seated   int // have joined, or come back from an earlier sitting
	Reading  int // say what they expect of names, before their first plate
	Tasting  int // have begun to taste and not finished, and are there
	Finished int
	Left     int // went home early
	Withdrew int
	Declined int

	Over     int // servings that are over: rated or refused
	Expected int // servings of everybody who is there or has finished
	Refused  int
	Revealed int // servings for which the blind was broken
	Dropped  int // plates

	Pace      float64   // rated servings per minute over [PaceWindow], or since the sitting opened when that is less
	End       time.Time // expected at this pace; zero when there is none
	Imbalance int       // over positions: most servings of one sample rated there, less the fewest of another

	Waiting []LiveSeat // who waits for a plate, longest first
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
func (s *Service) Live(ctx context.Context, by Session, studyID string) (Live, error) {
	extent := May(by.Role, KnowProgress, Open)
	if by.Role == RoleAssessor || extent == Nothing || extent != Whole && by.StudyID != studyID {
		return Live{}, ErrRefused
	}
	kept, err := s.Study(ctx, studyID)
	if err != nil {
		return Live{}, err
	}
	sittings, err := s.store.Sittings(ctx, studyID)
	if err != nil {
		return Live{}, err
	}
	counted, err := s.count(ctx, kept)
	if err != nil {
		return Live{}, err
	}
	live := Live{State: kept.State}
	for _, x := range sittings {
		if extent != Whole && x.ID != by.SittingID {
			continue
		}
		one := counted.sitting(x)
		if extent == Counts {
			one.Seats, one.Waiting = nil, nil
		}
		live.Sittings = append(live.Sittings, one)
	}
	return live, nil
}

// counting is what the board is counted from.
type counting struct {
	now     time.Time
	seats   []seat
	plan    []Serving
	rated   map[string]time.Time
	dropped []Dropped
}

func (s *Service) count(ctx context.Context, kept Study) (counting, error) {
	c := counting{now: s.now(), rated: map[string]time.Time{}}
	var err error
	if c.seats, err = s.seats(ctx, kept); err != nil {
		return counting{}, err
	}
	if c.plan, err = s.store.AllServings(ctx, kept.ID); err != nil {
		return counting{}, err
	}
	for _, t := range c.seats {
		for id, at := range t.answered {
			c.rated[id] = at
		}
	}
	c.dropped, err = s.store.Dropped(ctx, kept.ID)
	return c, err
}

// sitting counts one sitting.
func (c counting) sitting(x Sitting) LiveSitting {
	l := LiveSitting{Number: x.Number, Opened: x.OpenedAt, Declined: x.Declined}
	c.servings(&l, x)
	for _, t := range c.seats {
		if t.tastesAt(x.Number) {
			c.seat(&l, t, x)
		}
	}
	slices.SortStableFunc(l.Waiting, func(a, b LiveSeat) int { return int(b.Waiting - a.Waiting) })
	if left := l.Expected - l.Over; left > 0 && l.Pace > 0 {
		l.End = c.now.Add(time.Duration(float64(left) / l.Pace * float64(time.Minute)))
	}
	return l
}

// servings counts what does not depend on who has which place.
func (c counting) servings(l *LiveSitting, x Sitting) {
	here := map[string]bool{}
	places := map[int]bool{}
	recent := 0
	for _, v := range c.plan {
		if v.Sitting != x.Number || v.IsRead() {
			continue
		}
		here[v.ID], places[v.Place] = true, true
		if !v.RefusedAt.IsZero() {
			l.Refused++
		}
		if !v.RevealedAt.IsZero() {
			l.Revealed++
		}
		if at, done := c.rated[v.ID]; done && c.now.Sub(at) < PaceWindow {
			recent++
		}
	}
	for _, d := range c.dropped {
		if here[d.ServingID] {
			l.Dropped++
		}
	}
	l.Places = len(places)
	window := min(PaceWindow, max(c.now.Sub(x.OpenedAt), time.Minute))
	l.Pace = float64(recent) / window.Minutes()
	l.Imbalance = c.imbalance(x.Number)
}

// seat counts one assessor of a sitting.
func (c counting) seat(l *LiveSitting, t seat, x Sitting) {
	s := LiveSeat{Label: t.assessor.Label(), Seat: t.assessor.Seat, State: t.stateAt(x.Number, c.now)}
	s.Over, s.Of = t.count(x.Number)
	l.Seated++
	switch s.State {
	case SeatDone:
		l.Finished++
	case SeatLeft:
		l.Left++
	case SeatWithdrawn:
		l.Withdrew++
	case SeatReading:
		l.Reading++
	case SeatWaiting, SeatTasting, SeatRinsing:
		l.Tasting++
	case SeatJoined, SeatStopped:
	}
	l.Over += s.Over
	l.Expected += s.Of
	if s.State == SeatLeft || s.State == SeatWithdrawn || s.State == SeatStopped {
		l.Expected += s.Over - s.Of // nothing more is to come
	}
	if s.State == SeatWaiting {
		s.Waiting = t.waiting(c.now)
		l.Waiting = append(l.Waiting, s)
	}
	l.Seats = append(l.Seats, s)
}

// imbalance returns the largest difference, over positions, between how often two
// samples were rated there. It is a number alone: which samples is not said.
func (c counting) imbalance(sitting int) int {
	samples := map[string]bool{}
	counts := map[int]map[string]int{}
	for _, v := range c.plan {
		if v.Sitting != sitting || !v.Rated {
			continue
		}
		samples[string(v.Sample)] = true
		if _, done := c.rated[v.ID]; !done {
			continue
		}
		if counts[v.Position] == nil {
			counts[v.Position] = map[string]int{}
		}
		counts[v.Position][string(v.Sample)]++
	}
	worst := 0
	for _, at := range counts {
		least, most := len(c.plan), 0
		for x := range samples {
			least, most = min(least, at[x]), max(most, at[x])
		}
		worst = max(worst, most-least)
	}
	return worst
}
