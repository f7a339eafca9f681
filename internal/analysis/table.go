package analysis

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"cloche/internal/stats"
	"cloche/internal/study"
)

// scored is one rating in its cell.
type scored struct {
	value    float64
	position int // 0 = not known
	revealed bool
}

// cell is the place of a set of ratings: who rated what on which attribute.
type cell struct {
	attribute study.AttributeID
	assessor  int // index into panel.assessors
	sample    study.SampleID
}

// panel is every rating of a study by assessor, sample and attribute.
type panel struct {
	assessors []string // in natural order
	cells     map[cell][]scored
	unordered bool              // some rating has no position
	strata    map[string]string // of the assessors; empty where none is known
	most      int               // most ratings in one cell: above 1 means replicates
	positions map[study.AttributeID]positionCheck
}

// tabulate puts ratings in their cells. Within a cell they are sorted, so that
// sums do not depend on the order of rows.
func tabulate(s *study.Study, ratings []Rating) (*panel, error) {
	p := &panel{cells: map[cell][]scored{}, positions: map[study.AttributeID]positionCheck{},
		strata: map[string]string{}}
	index := p.number(ratings)
	for _, r := range ratings {
		if err := checkRating(s, r); err != nil {
			return nil, err
		}
		c := cell{r.Attribute, index[r.Assessor], r.Sample}
		p.cells[c] = append(p.cells[c], scored{r.Value, r.Position, r.Revealed})
		p.unordered = p.unordered || r.Position == 0
		if r.Stratum != "" {
			p.strata[r.Assessor] = r.Stratum
		}
	}
	for _, in := range p.cells {
		slices.SortFunc(in, func(a, b scored) int {
			return cmp.Or(cmp.Compare(a.position, b.position), cmp.Compare(a.value, b.value))
		})
		p.most = max(p.most, len(in))
	}
	return p, nil
}

// assessorsOf lists who said something, in natural order.
func assessorsOf(ratings []Rating) []string {
	var list []string
	seen := map[string]bool{}
	for _, r := range ratings {
		if !seen[r.Assessor] {
			seen[r.Assessor] = true
			list = append(list, r.Assessor)
		}
	}
	slices.SortFunc(list, natural)
	return list
}

// number lists the assessors and returns the place of each label.
func (p *panel) number(ratings []Rating) map[string]int {
	index := map[string]int{}
	p.assessors = assessorsOf(ratings)
	for i, a := range p.assessors {
		index[a] = i
	}
	return index
}

// natural orders whole numbers by value and before words, words by their letters.
func natural(a, b string) int {
	x, errA := strconv.ParseUint(a, 10, 63)
	y, errB := strconv.ParseUint(b, 10, 63)
	switch {
	case errA == nil && errB == nil:
		return cmp.Or(cmp.Compare(x, y), cmp.Compare(a, b))
	case errA == nil:
		return -1
	case errB == nil:
		return 1
	}
	return cmp.Compare(a, b)
}

func checkRating(s *study.Study, r Rating) error {
	a, ok := s.Attribute(r.Attribute)
	if !ok {
		return fmt.Errorf("%w: no attribute %q", ErrRating, r.Attribute)
	}
	if _, ok := s.Sample(r.Sample); !ok {
		return fmt.Errorf("%w: no sample %q", ErrRating, r.Sample)
	}
	if !a.Scale.Holds(r.Value) {
		return fmt.Errorf("%w: %g is off the scale of %q", ErrRating, r.Value, r.Attribute)
	}
	return nil
}

// mean is the mean rating of a cell; false when there is none.
func (p *panel) mean(c cell) (value, position float64, ok bool) {
	in := p.cells[c]
	if len(in) == 0 {
		return math.NaN(), math.NaN(), false
	}
	values := make([]float64, len(in))
	for i, v := range in {
		values[i] = v.value
		position += float64(v.position) / float64(len(in))
		if v.position == 0 {
			position = math.NaN()
		}
	}
	return stats.Mean(values), position, true
}

// pairs returns what each assessor said of the two samples of a comparison,
// and notes who is left out.
func (p *panel) pairs(c comparison, design study.Design, left *leftOut) ([]Pair, []Exclusion) {
	var pairs []Pair
	here := newLeftOut(nil)
	for i, assessor := range p.assessors {
		a, at, okA := p.mean(cell{c.attribute.ID, i, c.pair[0]})
		b, bt, okB := p.mean(cell{c.attribute.ID, i, c.pair[1]})
		if okA && okB {
			pairs = append(pairs, Pair{assessor, a, b, earlier(at, bt)})
			continue
		}
		reason := reasonFor(design, okA || okB)
		here.add(reason, assessor)
		if reason != ReasonByDesign {
			left.add(reason, assessor)
		}
	}
	return pairs, here.exclusions()
}

// revealed counts the ratings of a comparison by the assessors who rated both
// samples, and those among them for which the blind was broken.
func (p *panel) revealed(c comparison) (broken, all int) {
	for i := range p.assessors {
		a, b := p.cells[cell{c.attribute.ID, i, c.pair[0]}], p.cells[cell{c.attribute.ID, i, c.pair[1]}]
		if len(a) == 0 || len(b) == 0 {
			continue
		}
		for _, x := range slices.Concat(a, b) {
			all++
			if x.revealed {
				broken++
			}
		}
	}
	return broken, all
}

// earlier is +1 when a stands before b, −1 after, 0 when it cannot be told.
func earlier(a, b float64) int {
	switch {
	case a < b:
		return 1
	case a > b:
		return -1
	}
	return 0
}

// columns splits pairs into their two columns.
func columns(pairs []Pair) (x, y []float64) {
	for _, p := range pairs {
		x = append(x, p.First)
		y = append(y, p.Second)
	}
	return x, y
}
