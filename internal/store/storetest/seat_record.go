package storetest

import (
	"slices"
	"time"

	"cloche/internal/panel"
)

var recordTests = []namedTest{
	{"a seat is what its parts are", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		both := slices.Concat(plan(someStudy, 1, 0, 2, 2), plan(someStudy, 2, 2, 2, 2))
		c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), both, nil, happened))
		c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
		first := c.seat(1)
		c.rate(first, 0, 1)
		c.rate(first, 2, 1)
		c.must(c.store.Start(c.ctx, first.ID, noon))
		c.isSeat(1, 1)

		c.must(c.store.OpenSitting(c.ctx, sitting(2), happened))
		late := newcomer(2)
		late.SittingID = sitting(2).ID
		got[panel.Assessor](c)(c.store.Seat(c.ctx, late, token(2), nil, seated))
		c.isSeat(2, 2)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon.Add(time.Hour), happened))
		c.isSeat(1, 1)
		for _, hash := range []panel.TokenHash{"", "token-3", "TOKEN-1", "zero\x00byte", "no \xff UTF-8"} {
			c.wantError("seat "+string(hash), second(c.store.SeatByToken(c.ctx, hash)), panel.ErrNotFound)
		}
	}},
}

// isSeat compares the seat of the nth newcomer, who joined at a sitting, with what
// the other methods say of it.
func (c *check) isSeat(n, joined int) {
	c.Helper()
	r := got[panel.SeatRecord](c)(c.store.SeatByToken(c.ctx, token(n)))
	same(c, "assessor", r.Assessor, got[panel.Assessor](c)(c.store.AssessorByToken(c.ctx, token(n))))
	stored := got[panel.Study](c)(c.store.Study(c.ctx, someStudy))
	stored.File = ""
	same(c, "study", r.Study, stored)
	same(c, "joined", r.Joined, joined)
	same(c, "turns", r.Turns, got[[]panel.Turn](c)(c.store.Turns(c.ctx, someStudy, r.Assessor.Place)))
	same(c, "answered", r.Answered, got[map[panel.TurnID]time.Time](c)(c.store.AnsweredBy(c.ctx, r.Assessor.ID)))
	same(c, "opened", r.Opened, map[int]bool{joined: true})
}
