package analysis

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"cloche/internal/stats"
	"cloche/internal/stats/lottery"
	"cloche/internal/study"
)

// scored is one rating in its cell.
type scored struct {
	value    float64
	position int // 0 = not known
	sitting  int // 0 = not known
	revealed bool
	marks    marks
}

// columnKey is what was rated on which attribute.
type columnKey struct {
	attribute study.AttributeID
	sample    study.SampleID
}

// column is what everybody said of one sample on one attribute: a cell for each of
// panel.assessors, empty where nothing was said.
type column [][]scored

// panel is every rating of a study by assessor, sample and attribute.
type panel struct {
	assessors []string // in natural order
	columns   map[columnKey]column
	unordered bool                                // some rating has no position
	strata    map[string]string                   // of the assessors; empty where none is known
	most      int                                 // most ratings in one cell: above 1 means replicates
	positions map[study.AttributeID]positionCheck // those that comparisons look at
	lottery   *redrawn                            // of the serving plan; nil with why in noLottery
	noLottery string
	ordinal   map[study.AttributeID]ordinalFit  // of attributes with few labels
	models    map[study.AttributeID]*tableModel // where the plan tests pairs by them
	drawnBy   map[comparisonID]*lottery.Result  // where the plan tests by it
	came      arrivals                          // where the plan has looks
}

// tabulate puts ratings in their cells. Within a cell they are sorted, so that
// sums do not depend on the order of rows.
func tabulate(s *study.Study, ratings []Rating) (*panel, error) {
	p := &panel{columns: map[columnKey]column{}, positions: map[study.AttributeID]positionCheck{},
		strata: map[string]string{}}
	index := p.number(ratings)
	for _, a := range s.Attributes {
		for _, x := range s.Samples {
			p.columns[columnKey{a.ID, x.ID}] = make(column, len(p.assessors))
		}
	}
	marks := marksOf(ratings, nil)
	for i, r := range ratings {
		if err := checkRating(s, r); err != nil {
			return nil, err
		}
		in := &p.columns[columnKey{r.Attribute, r.Sample}][index[r.Assessor]]
		*in = append(*in, scored{r.Value, r.Position, r.Sitting, r.Revealed, marks[i]})
		p.unordered = p.unordered || r.Position == 0
		if r.Stratum != "" {
			p.strata[r.Assessor] = r.Stratum
		}
	}
	for _, cells := range p.columns {
		for _, in := range cells {
			p.most = max(p.most, len(in))
			if len(in) > 1 {
				slices.SortFunc(in, func(a, b scored) int {
					return cmp.Or(cmp.Compare(a.position, b.position), cmp.Compare(a.sitting, b.sitting),
						cmp.Compare(a.value, b.value))
				})
			}
		}
	}
	return p, nil
}

// column is what was said of a sample of the study on one of its attributes.
func (p *panel) column(a study.AttributeID, x study.SampleID) column {
	return p.columns[columnKey{a, x}]
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

// columnsOf are the columns of several samples.
func (p *panel) columnsOf(a study.AttributeID, samples []study.SampleID) []column {
	list := make([]column, len(samples))
	for k, x := range samples {
		list[k] = p.column(a, x)
	}
	return list
}

// mean is the mean rating of an assessor; false when there is none.
func (c column) mean(assessor int) (value, position float64, ok bool) {
	in := c[assessor]
	switch len(in) {
	case 0:
		return math.NaN(), math.NaN(), false
	case 1:
		position = float64(in[0].position)
		if in[0].position == 0 {
			position = math.NaN()
		}
		return in[0].value, position, true
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
	pairs := make([]Pair, 0, len(p.assessors))
	here := newLeftOut(nil)
	first, second := p.column(c.attribute.ID, c.pair[0]), p.column(c.attribute.ID, c.pair[1])
	for i, assessor := range p.assessors {
		a, at, okA := first.mean(i)
		b, bt, okB := second.mean(i)
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
	first, second := p.column(c.attribute.ID, c.pair[0]), p.column(c.attribute.ID, c.pair[1])
	for i := range p.assessors {
		a, b := first[i], second[i]
		if len(a) == 0 || len(b) == 0 {
			continue
		}
		broken += revealedIn(a) + revealedIn(b)
		all += len(a) + len(b)
	}
	return broken, all
}

// addRevealed adds the ratings of a column for which the blind was broken, and all of them.
func (c column) addRevealed(broken, all int) (moreBroken, moreAll int) {
	for _, in := range c {
		broken += revealedIn(in)
		all += len(in)
	}
	return broken, all
}

// revealedIn counts the ratings of a cell for which the blind was broken.
func revealedIn(in []scored) (n int) {
	for _, x := range in {
		if x.revealed {
			n++
		}
	}
	return n
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
	x, y = make([]float64, len(pairs)), make([]float64, len(pairs))
	for i, p := range pairs {
		x[i], y[i] = p.First, p.Second
	}
	return x, y
}
