package design

import (
	"fmt"

	"cloche/internal/study"
)

// strata says to which levels each assessor belongs.
type strata struct {
	sizes []int   // levels of each stratum of the study
	cells int     // combinations of levels
	of    []int32 // combination of each assessor; nil without strata
}

// newStrata reads the strata of a study for n assessors. Without known levels,
// places are dealt to the combinations in turn, so that every prefix of the plan
// reserves as many for each, give or take one.
func newStrata(s *study.Study, n int, levels [][]int) (strata, error) {
	x := strata{cells: 1}
	for _, f := range s.Serving.Strata {
		if len(f.Levels) == 0 {
			return x, conflict(study.Say("stratum %s has no levels", f.ID), study.Say("write its levels"))
		}
		x.sizes = append(x.sizes, len(f.Levels))
		x.cells *= len(f.Levels)
	}
	if len(x.sizes) == 0 {
		return x, nil
	}
	x.of = make([]int32, n)
	for i := range x.of {
		x.of[i] = int32(i % x.cells)
	}
	if levels == nil {
		return x, nil
	}
	if len(levels) != n {
		return x, conflict(study.Say("levels are given for %d of %d assessors", len(levels), n),
			study.Say("give the levels of every assessor"))
	}
	for i, l := range levels {
		cell, err := x.cell(l)
		if err != nil {
			return x, fmt.Errorf("assessor %d: %w", i+1, err)
		}
		x.of[i] = cell
	}
	return x, nil
}

// cell numbers a combination of levels, the last stratum running fastest.
func (x strata) cell(levels []int) (int32, error) {
	if len(levels) != len(x.sizes) {
		return 0, conflict(study.Say("%d levels for %d strata", len(levels), len(x.sizes)),
			study.Say("give one level of each stratum"))
	}
	cell := 0
	for f, l := range levels {
		if l < 0 || l >= x.sizes[f] {
			return 0, conflict(study.Say("stratum %d has no level %d", f+1, l+1),
				study.Say("give a level from 1 to %d", x.sizes[f]))
		}
		cell = cell*x.sizes[f] + l
	}
	return int32(cell), nil
}

// level returns the level of a combination on one stratum.
func (x strata) level(cell int32, stratum int) int {
	c := int(cell)
	for f := len(x.sizes) - 1; f > stratum; f-- {
		c /= x.sizes[f]
	}
	return c % x.sizes[stratum]
}
