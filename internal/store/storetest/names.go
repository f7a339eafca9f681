package storetest

import (
	"fmt"

	"cloche/internal/design"
	"cloche/internal/panel"
)

// readNames is a plan whose places read two names before what plan serves them: the
// names are orders 0 and 1, the warm-up is order 2.
func readNames(places, rated int) []panel.Turn {
	var all []panel.Turn
	for _, x := range plan(someStudy, 1, 0, places, rated) {
		if x.Order == 0 {
			for order := range 2 {
				all = append(all, plated(panel.Turn{StudyID: someStudy, Place: x.Place, Order: order, Sitting: 1,
					Role: design.Expected, Name: "a-name"}))
			}
		}
		plates := x.Servings
		x.Order, x.Servings = x.Order+2, nil
		all = append(all, plated(x, plates...))
	}
	return all
}

func (c *check) openedWithNames(places, rated int) {
	c.Helper()
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), readNames(places, rated), nil, happened))
	c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
}

var nameTests = []namedTest{
	{"a name that is read is kept without a code", func(c *check) {
		c.openedWithNames(1, 1)
		a := c.seat(1)
		same(c, "plan", got[[]panel.Turn](c)(c.store.AllTurns(c.ctx, someStudy)), readNames(1, 1))
		_, outcome := c.submit(submission("n", a, 0, 1), panel.Recorded)
		same(c, "outcome", outcome, panel.Recorded)
		_, outcome = c.submit(submission("n2", a, 0, 2), panel.Corrected)
		same(c, "outcome", outcome, panel.Corrected)
		same(c, "values", c.values(a, 0), valuesOf(2))
		all := got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy))
		same(c, "ratings", len(all), 3)
		for _, r := range all {
			want := panel.KeyedAnswer{Turn: 1, Sitting: 1, Role: design.Expected, Name: "a-name",
				Attribute: r.Attribute, Value: r.Value, At: noon}
			same(c, "answer", r, want)
		}
		same(c, "kept aside", len(got[[]panel.Replaced](c)(c.store.ReplacedAll(c.ctx, someStudy))), 1)
	}},
	{"the judge tells plates from names", func(c *check) {
		c.openedWithNames(1, 1)
		a := c.seat(1)
		for order, seq := range map[int]int{1: 4, 3: 6} {
			sub := submission(fmt.Sprint(order), a, order, 1)
			sub.Seq = seq
			c.submit(sub, panel.Recorded)
		}
		seen, _ := c.submit(submission("n", a, 0, 1), panel.Recorded)
		same(c, "of a name", seen, panel.Standing{Later: []int{4, 6}, Plates: []int{6}})
	}},
	{"names do not count as servings, nor keep from finishing", func(c *check) {
		c.openedWithNames(1, 1)
		a := c.seat(1)
		c.must(c.store.Start(c.ctx, a.ID, noon))
		c.submit(submission("n", a, 0, 1), panel.Recorded)
		p := got[panel.Progress](c)(c.store.Progress(c.ctx, someStudy))
		same(c, "after a name", p, panel.Progress{Places: 1, Joined: 1})
		for order := 2; order <= 3; order++ {
			c.submit(submission(fmt.Sprint(order), a, order, 1), panel.Recorded)
		}
		p = got[panel.Progress](c)(c.store.Progress(c.ctx, someStudy))
		same(c, "finished", got[panel.Assessor](c)(c.store.Assessor(c.ctx, a.ID)).FinishedAt.IsZero(), false)
		same(c, "after the plates", p, panel.Progress{Places: 1, Joined: 1, Servings: 1})
	}},
	{"withdrawing deletes what was expected", func(c *check) {
		c.openedWithNames(1, 1)
		a := c.seat(1)
		c.submit(submission("n", a, 0, 1), panel.Recorded)
		c.submit(submission("n2", a, 0, 2), panel.Corrected)
		c.must(c.store.Withdraw(c.ctx, a.ID, noon, panel.Event{At: noon, StudyID: someStudy}))
		same(c, "ratings", got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)), nil)
		same(c, "kept aside", got[[]panel.Replaced](c)(c.store.ReplacedAll(c.ctx, someStudy)), nil)
	}},
	{"who joins later reads names all the same", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), append(readNames(1, 1), laterTurn(2)), nil, happened))
		c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
		c.must(c.store.OpenSitting(c.ctx, sitting(2), happened))
		late := newcomer(1)
		late.SittingID = "sitting-2"
		a := got[panel.Assessor](c)(c.store.Seat(c.ctx, late, token(1), nil, seated))
		_, outcome := c.submit(submission("n", a, 0, 1), panel.Recorded)
		same(c, "outcome", outcome, panel.Recorded)
	}},
}
