package panel

import (
	"context"
	"slices"

	"cloche/internal/analysis"
)

// afterClose is what happened to the answers of a study after it was closed.
func (s *Service) afterClose(ctx context.Context, stored Study) (a analysis.AfterClose, err error) {
	people, err := s.store.Assessors(ctx, stored.ID)
	if err != nil {
		return a, err
	}
	for _, x := range people {
		if x.WithdrawnAt.After(stored.ClosedAt) {
			a.Withdrawn = append(a.Withdrawn, timeText(x.WithdrawnAt))
		}
	}
	slices.Sort(a.Withdrawn)
	aside, err := s.store.ReplacedAll(ctx, stored.ID)
	if err != nil || !slices.ContainsFunc(aside, func(r Replaced) bool { return r.AfterClose }) {
		return a, err
	}
	plan, err := s.store.AllTurns(ctx, stored.ID)
	late, who := map[TurnID]bool{}, map[int]bool{}
	for _, r := range aside {
		late[r.TurnID] = late[r.TurnID] || r.AfterClose
	}
	for _, x := range plan {
		if late[x.ID] {
			a.Servings, who[x.Place] = a.Servings+max(len(x.Servings), 1), true
		}
	}
	a.Assessors = len(who)
	return a, err
}
