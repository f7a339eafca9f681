package panel

import (
	"context"
	"strings"

	"cloche/internal/design"
	"cloche/internal/study"
)

// maxStrataListed is how many strata the board lists whether somebody came from them or not.
const maxStrataListed = 12

// LiveStratum counts the people of a stratum while a study runs, where each is dealt one
// sample on arrival. It has no field for samples: how many got which stays hidden until the
// close.
type LiveStratum struct {
	Levels   string // that name it
	Came     int    // have a seat now, or had one to the end; each is counted once
	Finished int    // of those, every serving is over
	Gone     int    // of those, left before, or took their answers out
}

// strata counts by stratum who came, in the order of levels; nil where nothing is dealt on
// arrival. Of many strata those are left out from which nobody came.
func (s *Service) strata(ctx context.Context, e evening) ([]LiveStratum, error) {
	spec := e.study.Spec
	if !spec.Serving.DealtOnArrival() || len(spec.Serving.Strata) == 0 {
		return nil, nil
	}
	dealt, err := s.store.Dealt(ctx, e.study.ID)
	if err != nil {
		return nil, err
	}
	at := map[int]int32{} // a place that was freed belongs to whoever was dealt to last
	for _, d := range dealt {
		at[d.Place] = d.Stratum
	}
	all := make([]LiveStratum, spec.Serving.Combinations())
	for _, t := range e.seats {
		if stratum, has := at[t.assessor.Place]; has {
			all[stratum].add(t.stateAt(AllSittings, e.now))
		}
	}
	return named(spec, all), nil
}

func (l *LiveStratum) add(state SeatState) {
	l.Came++
	switch {
	case state == SeatFinished:
		l.Finished++
	case state.gone():
		l.Gone++
	}
}

// named says which stratum is which, and leaves out of many those that are empty.
func named(spec *study.Study, all []LiveStratum) []LiveStratum {
	var list []LiveStratum
	for i, x := range all {
		if len(all) > maxStrataListed && x.Came == 0 {
			continue
		}
		x.Levels = strings.Join(design.StratumLevels(spec, int32(i)), ", ")
		list = append(list, x)
	}
	return list
}
