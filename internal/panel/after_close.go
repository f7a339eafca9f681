package panel

import (
	"context"
	"slices"

	"cloche/internal/analysis"
)

// afterClose is what happened to the answers of a study after it was closed.
func (s *Service) afterClose(ctx context.Context, kept Study) (a analysis.AfterClose, err error) {
	people, err := s.store.Assessors(ctx, kept.ID)
	if err != nil {
		return a, err
	}
	for _, x := range people {
		if x.WithdrawnAt.After(kept.ClosedAt) {
			a.Withdrawn = append(a.Withdrawn, stamp(x.WithdrawnAt))
		}
	}
	slices.Sort(a.Withdrawn)
	aside, err := s.store.ReplacedAll(ctx, kept.ID)
	if err != nil || !slices.ContainsFunc(aside, func(r Replaced) bool { return r.AfterClose }) {
		return a, err
	}
	plan, err := s.store.AllServings(ctx, kept.ID)
	place := map[string]int{}
	for _, v := range plan {
		place[v.ID] = v.Place
	}
	servings, who := map[string]bool{}, map[int]bool{}
	for _, r := range aside {
		if r.AfterClose {
			servings[r.ServingID], who[place[r.ServingID]] = true, true
		}
	}
	a.Servings, a.Assessors = len(servings), len(who)
	return a, err
}
