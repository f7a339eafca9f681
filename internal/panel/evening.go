package panel

import (
	"context"
	"time"
)

// evening is a study as it stands at one moment. Every screen's counts come from
// it, so that what one page says adds up, and two pages say the same.
type evening struct {
	now       time.Time
	study     Study
	sittings  []Sitting   // that were opened
	plan      []Turn      // by place and order
	seats     []seatState // by place
	answered  map[TurnID]time.Time
	dropped   []Dropped // oldest first
	incidents []NotedIncident
	vacant    map[int]bool

	serves map[int][]Turn // those of plan that serve something, by sitting, and all of them
}

func (s *Service) evening(ctx context.Context, stored Study) (evening, error) {
	e := evening{now: s.now(), study: stored, answered: map[TurnID]time.Time{}}
	people, err := s.store.Assessors(ctx, stored.ID)
	if err != nil {
		return evening{}, err
	}
	if e.sittings, err = s.openedSittings(ctx, stored.ID); err != nil {
		return evening{}, err
	}
	if e.plan, err = s.store.AllTurns(ctx, stored.ID); err != nil {
		return evening{}, err
	}
	answered, err := s.store.AnsweredTurns(ctx, stored.ID)
	if err != nil {
		return evening{}, err
	}
	e.fill(people, answered)
	if e.dropped, err = s.store.Dropped(ctx, stored.ID); err != nil {
		return evening{}, err
	}
	if e.incidents, err = s.store.Incidents(ctx, stored.ID); err != nil {
		return evening{}, err
	}
	vacant, err := s.store.VacantPlaces(ctx, stored.ID)
	e.vacant = map[int]bool{}
	for _, place := range vacant {
		e.vacant[place] = true
	}
	return e, err
}

// fill puts people and their answers beside their turns.
func (e *evening) fill(people []Assessor, answered []AnsweredTurn) {
	own := map[AssessorID]map[TurnID]time.Time{}
	for _, r := range answered {
		if own[r.AssessorID] == nil {
			own[r.AssessorID] = map[TurnID]time.Time{}
		}
		own[r.AssessorID][r.TurnID], e.answered[r.TurnID] = r.At, r.At
	}
	byPlace := map[int][]Turn{}
	e.serves = map[int][]Turn{}
	for _, x := range e.plan {
		byPlace[x.Place] = append(byPlace[x.Place], x)
		if !x.reads() {
			e.serves[x.Sitting] = append(e.serves[x.Sitting], x)
			e.serves[AllSittings] = append(e.serves[AllSittings], x)
		}
	}
	for _, a := range people {
		e.seats = append(e.seats, newSeat(a, e.study, e.sittings, byPlace[a.Place], own[a.ID]))
	}
}

// at returns the seats at a sitting, by place.
func (e evening) at(sitting int) []seatState {
	var there []seatState
	for _, t := range e.seats {
		if t.tastesAt(sitting) {
			there = append(there, t)
		}
	}
	return there
}

// plated returns the turns of a sitting that serve something, by place and order;
// those of all sittings for [AllSittings]. They are the evening's own: nobody changes them.
func (e evening) plated(sitting int) []Turn { return e.serves[sitting] }
