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
	{"a place that tasted stays taken", func(c *check) {
		c.opened(4, 2)
		served, refused, back := c.seat(0), c.seat(1), c.seat(2)
		note := func(a panel.Assessor, n panel.ServingNote) {
			c.must(c.store.NoteServing(c.ctx, servingID(someStudy, a.Place, 0), n, happened))
		}
		note(served, panel.ServingNote{Served: &noon})
		note(refused, panel.ServingNote{Refused: &noon})
		for what, a := range map[string]panel.Assessor{"served": served, "refused": refused} {
			c.wantError(what, c.store.FreePlace(c.ctx, a.ID, happened), panel.ErrTasted)
		}
		note(back, panel.ServingNote{Served: &noon})
		note(back, panel.ServingNote{Served: &time.Time{}})
		c.must(c.store.FreePlace(c.ctx, back.ID, happened))
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("after close", c.store.FreePlace(c.ctx, served.ID, happened), panel.ErrNotOpen)
	}},
}
