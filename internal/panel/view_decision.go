package panel

import (
	"cmp"
	"context"
	"slices"
	"time"

	"cloche/internal/analysis"
)

// Decision is whether a plan that stops early, or has looks, takes more answers: that, and nothing of
// what they say.
type Decision string

// The decisions; "" where the plan does neither.
const (
	GoOn   Decision = "go on"
	Enough Decision = "enough"
)

// decision is that of an open study.
func (s *Service) decision(ctx context.Context, stored Study) (Decision, error) {
	if stored.State == Open && len(stored.Spec.Plan.Looks) > 0 {
		sittings, err := s.openedSittings(ctx, stored.ID)
		return LiveLooks{Taken: looksTaken(sittings)}.decision(), err
	}
	if !stored.Spec.Plan.StopEarly || stored.State != Open {
		return "", nil
	}
	answers, err := s.store.KeyedAnswers(ctx, stored.ID)
	if err != nil {
		return "", err
	}
	people, err := s.store.Assessors(ctx, stored.ID)
	if err != nil {
		return "", err
	}
	enough, err := analysis.Enough(stored.Spec, ratings(answers), screened(people))
	if err != nil || !enough {
		return GoOn, err
	}
	return Enough, nil
}

// turnAt is whose turn it is, and which.
type turnAt struct{ place, turn int }

// answeredAs numbers the turns that were answered from 1, in the order in which their answers
// reached the service.
func answeredAs(all []KeyedAnswer) map[turnAt]int {
	at := map[turnAt]time.Time{}
	var turns []turnAt
	for _, r := range all {
		k := turnAt{r.Place, r.Turn}
		if _, seen := at[k]; !seen {
			turns = append(turns, k)
		}
		at[k] = later(at[k], r.At)
	}
	slices.SortFunc(turns, func(a, b turnAt) int {
		return cmp.Or(at[a].Compare(at[b]), cmp.Compare(a.place, b.place), cmp.Compare(a.turn, b.turn))
	})
	as := make(map[turnAt]int, len(turns))
	for i, k := range turns {
		as[k] = i + 1
	}
	return as
}
