package storetest

import (
	"errors"
	"time"

	"cloche/internal/panel"
)

// prepared are sittings as they are before they open.
func prepared(numbers ...int) (all []panel.Sitting) {
	for _, n := range numbers {
		x := sitting(n)
		x.OpenedAt = time.Time{}
		all = append(all, x)
	}
	return all
}

var freedTests = []namedTest{
	{"a link says that its place was freed", func(c *check) {
		c.opened(1, 2)
		a := c.seat(1)
		c.must(c.store.FreePlace(c.ctx, a.ID, happened))
		c.wantFreed(token(1))
		left := c.seat(2) // who went before any plate, and whose place the next one gets
		c.must(c.store.NoteAssessor(c.ctx, left.ID, panel.AssessorNote{Left: &noon}, happened))
		same(c, "kept until then", got[panel.SeatRecord](c)(c.store.SeatByToken(c.ctx, token(2))).Assessor.ID, left.ID)
		c.seat(3)
		c.wantFreed(token(2))
		c.wantFreed(token(1))
		c.wantError("nobody's", second(c.store.SeatByToken(c.ctx, token(4))), panel.ErrNotFound)
	}},
}

// wantFreed checks that a link leads back to the sitting that it was of.
func (c *check) wantFreed(tokenHash panel.TokenHash) {
	c.Helper()
	_, err := c.store.SeatByToken(c.ctx, tokenHash)
	var freed *panel.FreedError
	if !errors.As(err, &freed) || freed.Join != "join-1" || !errors.Is(err, panel.ErrNotFound) {
		c.Errorf("%s: %v, want that the place was freed", tokenHash, err)
	}
}

var preparedTests = []namedTest{
	{"are there before anybody can be seated", func(c *check) {
		c.locked(2, 2)
		c.must(c.store.PrepareSittings(c.ctx, someStudy, prepared(1, 2), happened))
		same(c, "prepared", got[[]panel.Sitting](c)(c.store.Sittings(c.ctx, someStudy)), prepared(1, 2))
		same(c, "by its link", got[panel.Sitting](c)(c.store.SittingByJoin(c.ctx, "join-2")), prepared(2)[0])
		same(c, "state", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)).State, panel.Locked)
		c.wantError("seat", second(c.store.Seat(c.ctx, newcomer(1), token(1), nil, seated)), panel.ErrNotOpen)
		c.must(c.store.AskWord(c.ctx, someSitting, true, happened))
	}},
	{"open under the link that was printed", func(c *check) {
		c.locked(2, 2)
		c.must(c.store.PrepareSittings(c.ctx, someStudy, prepared(1, 2), happened))
		again := sitting(1)
		again.ID, again.Join = "another", "another"
		c.must(c.store.OpenSitting(c.ctx, again, happened))
		same(c, "sittings", got[[]panel.Sitting](c)(c.store.Sittings(c.ctx, someStudy)),
			[]panel.Sitting{sitting(1), prepared(2)[0]})
		c.wantError("open it again", c.store.OpenSitting(c.ctx, again, happened), panel.ErrWrongState)
		elsewhere := newcomer(2)
		elsewhere.SittingID = "sitting-2"
		c.wantError("seat at one to come", second(c.store.Seat(c.ctx, elsewhere, token(2), nil, seated)),
			panel.ErrNotOpen)
		c.seat(1)
	}},
	{"are prepared once", func(c *check) {
		c.opened(1, 2)
		later := prepared(1, 2)
		later[0].ID, later[0].Join = "another", "another"
		c.must(c.store.PrepareSittings(c.ctx, someStudy, later, happened))
		c.must(c.store.PrepareSittings(c.ctx, someStudy, later, happened))
		same(c, "sittings", got[[]panel.Sitting](c)(c.store.Sittings(c.ctx, someStudy)),
			[]panel.Sitting{sitting(1), prepared(2)[0]})
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("after the close", c.store.PrepareSittings(c.ctx, someStudy, prepared(3), happened),
			panel.ErrWrongState)
	}},
	{"of a sitting to come take no answers", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		later := plan(someStudy, 2, 0, 1, 1)
		for i := range later {
			later[i].Order += 10
			plates := later[i].Servings
			later[i].Servings = nil
			later[i] = plated(later[i], plates...)
		}
		c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), append(plan(someStudy, 1, 0, 1, 1), later...), nil,
			happened))
		c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
		a := c.seat(1)
		c.must(c.store.PrepareSittings(c.ctx, someStudy, prepared(2), happened))
		r := got[panel.SeatRecord](c)(c.store.SeatByToken(c.ctx, token(1)))
		same(c, "open", r.Opened, map[int]bool{1: true})
		sub := panel.Submitted{ID: "early", AssessorID: a.ID, TurnID: later[1].ID, Answers: answers(later[1].ID, 1),
			At: noon}
		c.wantError("answers for a plate of a later sitting", second(c.store.Submit(c.ctx, sub, asRecorded)),
			panel.ErrNotFound)
	}},
}
