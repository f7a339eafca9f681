package mixed

import (
	"fmt"
	"slices"

	"cloche/internal/stats/model"
)

// Servings are ratings in the order in which the samples were tasted.
type Servings struct {
	Rating   []float64 // NaN for a missing rating; the sample was tasted all the same
	Assessor model.Factor
	Sample   model.Factor
	Position []int // 1, 2, … within an assessor
	Sitting  []int // nothing is carried over from one to the next; nil = all at one
}

// Names of the factors of [CarryOverModel].
const (
	PositionFactor = "position"
	PreviousFactor = "previous"
)

// CarryOverModel returns the mixed model for order and first-order carry-over:
// fixed effects of the sample, the position (as a factor) and the sample
// tasted just before, a random level for each assessor. At the first position
// of a sitting nothing came before, and the effect of the previous sample is left out
// there. Jones & Kenward (2014), Design and Analysis of Cross-Over Trials, 3rd
// ed., chapter 5.
//
// The previous effects are estimated well only from a design in which every
// sample follows every other, such as a Williams square. Errors:
// [model.ErrModelData] for unequal lengths, a position below 1 or two servings of an
// assessor at one position.
func CarryOverModel(s Servings) (Model, error) {
	n := len(s.Rating)
	if s.Sitting != nil && len(s.Sitting) != n || len(s.Position) != n || len(s.Assessor.Code) != n ||
		len(s.Sample.Code) != n {
		return Model{}, fmt.Errorf("carry-over model: %w", model.ErrModelData)
	}
	previous, err := s.preceding()
	if err != nil {
		return Model{}, fmt.Errorf("carry-over model: %w", err)
	}
	position := PositionsOf(s.Position)
	return Model{
		Data: model.Data{Response: s.Rating, Factors: []model.Factor{s.Assessor, s.Sample, position,
			{Name: PreviousFactor, Levels: s.Sample.Levels, Code: previous}}},
		Fixed:  []model.Term{{s.Sample.Name}, {PositionFactor}, {PreviousFactor}},
		Random: []RandomTerm{{Group: model.Term{s.Assessor.Name}}},
	}, nil
}

// PositionsOf is the factor of positions: those that there are, in rising order, however far
// they lie apart.
func PositionsOf(positions []int) model.Factor {
	at := slices.Compact(slices.Sorted(slices.Values(positions)))
	f := model.Factor{Name: PositionFactor, Code: make([]int, len(positions))}
	for _, p := range at {
		f.Levels = append(f.Levels, fmt.Sprint(p))
	}
	for i, p := range positions {
		f.Code[i], _ = slices.BinarySearch(at, p)
	}
	return f
}

// preceding returns for each serving the sample that the assessor had at the position
// before, −1 when there was none at the same sitting.
func (s Servings) preceding() ([]int, error) {
	width := 1
	for _, p := range s.Position {
		width = max(width, p+1)
	}
	seat := func(i, position int) int { return s.Assessor.Code[i]*width + position }
	at := make(map[int]int, len(s.Position))
	for i, p := range s.Position {
		here := seat(i, p)
		if _, taken := at[here]; taken || p < 1 {
			return nil, fmt.Errorf("serving %d: position %d is taken or not a position: %w", i+1, p, model.ErrModelData)
		}
		at[here] = i
	}
	previous := make([]int, len(s.Position))
	for i, p := range s.Position {
		previous[i] = -1
		before, ok := at[seat(i, p-1)]
		if ok && (s.Sitting == nil || s.Sitting[before] == s.Sitting[i]) {
			previous[i] = s.Sample.Code[before]
		}
	}
	return previous, nil
}
