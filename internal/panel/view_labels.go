package panel

import (
	"cmp"
	"context"
	"slices"

	"cloche/internal/design"
)

// CodeLabels is what stands on the labels of a sitting. It has no field for dishes:
// labels can be printed before the sitting opens, when nobody may know the key.
type CodeLabels struct {
	Sitting  int
	Invented bool
	Waves    [][]design.Code // of each wave the codes, in order; those of a tray as they stand on it
	Spares   []design.Code   // codes for dropped plates, in the order in which they will be taken
}

// CodeLabels returns the labels of the kitchen's sitting. [ErrNotOpen] when it is over
// or will never open.
func (s *Service) CodeLabels(ctx context.Context, by Session) (CodeLabels, error) {
	if err := by.may(ActPrintCodes); err != nil {
		return CodeLabels{}, err
	}
	sitting, stored, err := s.sitting(ctx, by.SittingID)
	if err != nil {
		return CodeLabels{}, err
	}
	at, err := s.stand(ctx, stored)
	if err != nil {
		return CodeLabels{}, err
	}
	if !mayJoin(by.Role, at) {
		return CodeLabels{}, ErrNotOpen
	}
	turns, err := s.store.TurnsAt(ctx, stored.ID, sitting.Number)
	if err != nil {
		return CodeLabels{}, err
	}
	l := CodeLabels{Sitting: sitting.Number, Invented: stored.Spec.Invented, Waves: codesByWave(turns)}
	l.Spares, err = s.store.SpareCodes(ctx, stored.ID, sitting.Number)
	return l, err
}

// codesByWave gathers the codes of each wave of a sitting. They stand in order, which
// says nothing of who gets them; those of a tray together, as they stand on it.
func codesByWave(turns []Turn) (waves [][]design.Code) {
	for _, wave := range byWave(turns) {
		slices.SortFunc(wave, func(x, y Turn) int { return cmp.Compare(x.Key(), y.Key()) })
		var codes []design.Code
		for _, x := range wave {
			for _, v := range x.Servings {
				codes = append(codes, v.Code)
			}
		}
		waves = append(waves, codes)
	}
	return waves
}

// byWave gathers what everybody is given first at a sitting, second, …; turns come by
// place and order.
func byWave(turns []Turn) (waves [][]Turn) {
	wave, place := 0, -1
	for _, x := range turns {
		if x.reads() {
			continue // nothing is plated
		}
		wave++
		if x.Place != place {
			wave, place = 1, x.Place
		}
		if wave > len(waves) {
			waves = append(waves, nil)
		}
		waves[wave-1] = append(waves[wave-1], x)
	}
	return waves
}
