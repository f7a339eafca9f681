package analysis

import (
	"fmt"

	"cloche/internal/stats/numeric"
	"cloche/internal/study"
)

// atOnce does work(0) … work(n−1), as many at a time as there are processors, and
// returns the first error by number. What each finds must depend on its number alone.
func atOnce(n int, work func(i int) error) error {
	errs := make([]error, n)
	numeric.InParallel(n, func(i int) { errs[i] = work(i) })
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// compareAll answers what the plan asks of two samples, each comparison on its own, and
// counts who was left out of any.
func (p *panel) compareAll(s *study.Study, left *leftOut) ([]Finding, error) {
	asked := comparisons(s)
	if len(asked) == 0 {
		return nil, nil
	}
	compare := p.compareGroups
	if s.Serving.Design != study.One {
		compare = p.compare
		p.checkPositions(s)
	}
	found, leftOf := make([]Finding, len(asked)), make([]*leftOut, len(asked))
	err := atOnce(len(asked), func(i int) (err error) {
		c := asked[i]
		leftOf[i] = newLeftOut(nil)
		if found[i], err = compare(s, c, leftOf[i]); err != nil {
			return fmt.Errorf("compare %s with %s on %s: %w", c.pair[0], c.pair[1], c.attribute.ID, err)
		}
		return nil
	})
	for _, l := range leftOf {
		left.addAll(l)
	}
	return found, err
}
