package storetest

import (
	"time"

	"cloche/internal/panel"
)

var freePlaceTests = []namedTest{
	{"a place that never tasted is the next one's", func(c *check) {
		c.opened(2, 2)
		first := c.seat(0)
		c.seat(1)
		c.must(c.store.FreePlace(c.ctx, first.ID, event("place freed")))
		c.wantError("the link of who had it", second(c.store.AssessorByToken(c.ctx, token(0))), panel.ErrNotFound)
		c.wantError("again", c.store.FreePlace(c.ctx, first.ID, event("again")), panel.ErrNotFound)
		same(c, "the next one's place", c.seat(2).Place, first.Place)
		same(c, "log", got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)), []panel.Event{event("place freed")})
	}},
	{"who goes before any plate leaves the place to the next", func(c *check) {
		c.opened(3, 2)
		left, withdrew, tasted := c.seat(0), c.seat(1), c.seat(2)
		c.must(c.store.NoteTurn(c.ctx, turnID(someStudy, tasted.Place, 0), panel.TurnNote{Served: &noon}, happened))
		for _, a := range []panel.Assessor{left, tasted} {
			c.must(c.store.NoteAssessor(c.ctx, a.ID, panel.AssessorNote{Left: &noon}, happened))
		}
		c.must(c.store.Withdraw(c.ctx, withdrew.ID, noon, happened))
		same(c, "free places", got[int](c)(c.store.FreePlaces(c.ctx, someStudy, 1)), 2)
		c.must(c.store.NoteAssessor(c.ctx, left.ID, panel.AssessorNote{Left: &time.Time{}}, happened)) // and is back
		same(c, "after one is back", got[int](c)(c.store.FreePlaces(c.ctx, someStudy, 1)), 1)
		same(c, "the next one's place", c.seat(3).Place, withdrew.Place)
		c.wantError("the link of who had it", second(c.store.AssessorByToken(c.ctx, token(1))), panel.ErrNotFound)
		same(c, "free places at the end", got[int](c)(c.store.FreePlaces(c.ctx, someStudy, 1)), 0)
	}},
	{"a place that tasted stays taken", func(c *check) {
		c.opened(4, 2)
		served, refused, back := c.seat(0), c.seat(1), c.seat(2)
		note := func(a panel.Assessor, n panel.TurnNote) {
			c.must(c.store.NoteTurn(c.ctx, turnID(someStudy, a.Place, 0), n, happened))
		}
		note(served, panel.TurnNote{Served: &noon})
		note(refused, panel.TurnNote{Refused: &noon})
		for what, a := range map[string]panel.Assessor{"served": served, "refused": refused} {
			c.wantError(what, c.store.FreePlace(c.ctx, a.ID, happened), panel.ErrTasted)
		}
		note(back, panel.TurnNote{Served: &noon})
		note(back, panel.TurnNote{Served: &time.Time{}})
		c.must(c.store.FreePlace(c.ctx, back.ID, happened))
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("after close", c.store.FreePlace(c.ctx, served.ID, happened), panel.ErrNotOpen)
	}},
}
