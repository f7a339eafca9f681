package analysis

import (
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/anova"
	"cloche/internal/study"
)

// checkPosition tests whether ratings of an attribute differ by position, with
// assessors and samples allowed for: the F test of position in the additive model
// rating = assessor + sample + position, on columns centred within assessors. Where
// samples are bound to positions, such as blind ones that all come first, it tests
// what can be told apart and says what cannot. Columns are those of the model.
func checkPosition(s *study.Study, m additive, columns anova.Partial) positionCheck {
	nan := math.NaN()
	t := columns.F(m.y, m.assessors)
	c := positionCheck{Check: Check{Method: method.Position, Title: method.Position.Title(),
		Estimate: nan, CI: stats.Interval{Lo: nan, Hi: nan, Level: s.Plan.Level()},
		Statistic: t.F, DF: t.DF1, DF2: t.DF2, P: t.P}}
	switch {
	case len(m.levels) < 2:
		c.unchecked = "every rating was given at the same position, so that there is no order to check"
	case t.DF1 < 1:
		c.unchecked = "no two positions can be compared, because which sample was served goes with the position"
	case t.DF2 < 1:
		c.unchecked = "too few ratings are left once assessors, samples and positions are allowed for"
	case t.NoScatter:
		c.unchecked = "beside assessors, samples and positions the ratings have no scatter to hold the positions " +
			"against"
	case int(t.DF1) < len(m.levels)-1:
		c.groups = named(anova.Comparable(m.samples, m.positions), m.levels)
		c.Title = "positions alike as far as they can be told from the samples, samples and assessors allowed for"
	}
	if c.unchecked != "" {
		c.DF, c.DF2 = nan, nan
	}
	return c
}

// positionCheck is the check of position with what it could not do.
type positionCheck struct {
	Check
	unchecked string  // why nothing could be tested; "" when something was
	groups    [][]int // positions that were compared with each other; nil when all were
}

// named turns indices of levels into positions.
func named(groups [][]int, levels []int) [][]int {
	for _, g := range groups {
		for i, at := range g {
			g[i] = levels[at]
		}
	}
	return groups
}

// additive is the centred model: an indicator column for each sample and for each
// position.
type additive struct {
	y                  []float64
	samples, positions [][]float64
	levels             []int // the positions
	assessors          int   // with ratings
}

// servedAs reports whether the same servings were rated as in another model, as when
// everybody answers all that is asked.
func (m additive) servedAs(other additive) bool {
	return slices.EqualFunc(m.samples, other.samples, slices.Equal) &&
		slices.EqualFunc(m.positions, other.positions, slices.Equal)
}

func (p *panel) additiveModel(s *study.Study, attribute study.AttributeID) additive {
	samples, levels := p.ratedOn(s, attribute)
	m := additive{samples: make([][]float64, len(samples)), positions: make([][]float64, len(levels)), levels: levels}
	columns, rows := p.columnsOf(attribute, samples), 0
	for _, c := range columns {
		for _, in := range c {
			rows += len(in)
		}
	}
	m.y = make([]float64, 0, rows)
	for _, indicators := range [][][]float64{m.samples, m.positions} {
		for j := range indicators {
			indicators[j] = make([]float64, 0, rows)
		}
	}
	for i := range p.assessors {
		start := len(m.y)
		for k, c := range columns {
			for _, v := range c[i] {
				m.y = append(m.y, v.value)
				at, _ := slices.BinarySearch(levels, v.position)
				indicate(m.samples, k)
				indicate(m.positions, at)
			}
		}
		if len(m.y) == start {
			continue
		}
		m.assessors++
		centre(m.y[start:])
		for _, c := range slices.Concat(m.samples, m.positions) {
			centre(c[start:])
		}
	}
	return m
}

// indicate adds a row: 1 in the column at, 0 in the others.
func indicate(columns [][]float64, at int) {
	for j := range columns {
		v := 0.0
		if j == at {
			v = 1
		}
		columns[j] = append(columns[j], v)
	}
}

// ratedOn lists the samples rated on an attribute, in the order of the study,
// and the positions at which they were, sorted.
func (p *panel) ratedOn(s *study.Study, attribute study.AttributeID) (samples []study.SampleID, positions []int) {
	for _, x := range s.Samples {
		rated := false
		for _, in := range p.column(attribute, x.ID) {
			for _, v := range in {
				rated = true
				if at, seen := slices.BinarySearch(positions, v.position); !seen {
					positions = slices.Insert(positions, at, v.position)
				}
			}
		}
		if rated {
			samples = append(samples, x.ID)
		}
	}
	return samples, positions
}

func centre(x []float64) {
	m := stats.Mean(x)
	for i := range x {
		x[i] -= m
	}
}
