package panel

import (
	"context"
	"slices"
)

// CodeLabels is what stands on the labels of a sitting. It has no field for dishes:
// labels can be printed before the sitting opens, when nobody may know the key.
type CodeLabels struct {
	Sitting  int
	Invented bool
	Waves    [][]string // of each wave the codes, in order
	Spares   []string   // codes for dropped plates, in the order in which they will be taken
}

// CodeLabels returns the labels of the kitchen's sitting. [ErrNotOpen] when it is over
// or will never open.
func (s *Service) CodeLabels(ctx context.Context, by Session) (CodeLabels, error) {
	if by.Role != RoleKitchen {
		return CodeLabels{}, ErrRefused
	}
	sitting, kept, err := s.sitting(ctx, by.SittingID)
	if err != nil {
		return CodeLabels{}, err
	}
	at, err := s.stand(ctx, kept)
	if err != nil {
		return CodeLabels{}, err
	}
	if !mayJoin(by.Role, at) {
		return CodeLabels{}, ErrNotOpen
	}
	plan, err := s.store.ServingsAt(ctx, kept.ID, sitting.Number)
	if err != nil {
		return CodeLabels{}, err
	}
	l := CodeLabels{Sitting: sitting.Number, Invented: kept.Asked.Invented, Waves: codesByWave(plan)}
	l.Spares, err = s.store.SpareCodes(ctx, kept.ID, sitting.Number)
	return l, err
}

// codesByWave gathers the codes of each wave of a sitting. They stand in order, which
// says nothing of who gets them.
func codesByWave(plan []Serving) (waves [][]string) {
	wave, place := 0, -1
	for _, v := range plan {
		if v.IsRead() {
			continue
		}
		wave++
		if v.Place != place {
			wave, place = 1, v.Place
		}
		if wave > len(waves) {
			waves = append(waves, nil)
		}
		waves[wave-1] = append(waves[wave-1], v.Code)
	}
	for _, codes := range waves {
		slices.Sort(codes)
	}
	return waves
}
