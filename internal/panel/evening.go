package panel

import (
	"context"
	"time"
)

// evening is a study as it stands at one moment. Every screen's counts come from
// it, so that what one page says adds up, and two pages say the same.
type evening struct {
	now      time.Time
	study    Study
	sittings []Sitting // that were opened
	plan     []Serving // by place and order
	seats    []seat    // by place
	rated    map[string]time.Time
	dropped  []Dropped // oldest first
	vacant   map[int]bool
}

func (s *Service) evening(ctx context.Context, kept Study) (evening, error) {
	e := evening{now: s.now(), study: kept, rated: map[string]time.Time{}}
	people, err := s.store.Assessors(ctx, kept.ID)
	if err != nil {
		return evening{}, err
	}
	if e.sittings, err = s.openedSittings(ctx, kept.ID); err != nil {
		return evening{}, err
	}
	if e.plan, err = s.store.AllServings(ctx, kept.ID); err != nil {
		return evening{}, err
	}
	rated, err := s.store.RatedServings(ctx, kept.ID)
	if err != nil {
		return evening{}, err
	}
	e.fill(people, rated)
	if e.dropped, err = s.store.Dropped(ctx, kept.ID); err != nil {
		return evening{}, err
	}
	vacant, err := s.store.VacantPlaces(ctx, kept.ID)
	e.vacant = map[int]bool{}
	for _, place := range vacant {
		e.vacant[place] = true
	}
	return e, err
}

// fill puts people and their answers beside their servings.
func (e *evening) fill(people []Assessor, rated []RatedServing) {
	answered := map[string]map[string]time.Time{}
	for _, r := range rated {
		if answered[r.AssessorID] == nil {
			answered[r.AssessorID] = map[string]time.Time{}
		}
		answered[r.AssessorID][r.ServingID], e.rated[r.ServingID] = r.At, r.At
	}
	byPlace := map[int][]Serving{}
	for _, v := range e.plan {
		byPlace[v.Place] = append(byPlace[v.Place], v)
	}
	for _, a := range people {
		e.seats = append(e.seats, newSeat(a, e.study, e.sittings, byPlace[a.Place], answered[a.ID]))
	}
}

// at returns the seats at a sitting, by place.
func (e evening) at(sitting int) []seat {
	var there []seat
	for _, t := range e.seats {
		if t.tastesAt(sitting) {
			there = append(there, t)
		}
	}
	return there
}

// plates returns the plates of a sitting by place and order; those of all sittings
// for [AllSittings].
func (e evening) plates(sitting int) []Serving {
	var all []Serving
	for _, v := range e.plan {
		if !v.IsRead() && (sitting == AllSittings || v.Sitting == sitting) {
			all = append(all, v)
		}
	}
	return all
}
