package storetest

import (
	"time"

	"cloche/internal/panel"
)

// eveningTests: what is noted of an evening is noted once, and never goes back.
var eveningTests = []namedTest{
	{"a turn notes when the code on its plate was typed, the first time", func(c *check) {
		c.opened(2, 2)
		a := c.seat(1)
		id := turnID(someStudy, a.Place, 1)
		c.must(c.store.OpenTurn(c.ctx, id, noon))
		c.must(c.store.OpenTurn(c.ctx, id, noon.Add(time.Minute)))
		at := got[panel.Turn](c)(c.store.Turn(c.ctx, id)).OpenedAt
		same(c, "opened", at, noon)
		c.isUTC("OpenedAt", at)
		c.wantError("free its place", c.store.FreePlace(c.ctx, a.ID, event("freed")), panel.ErrTasted)
		c.wantError("a place that nobody has", c.store.OpenTurn(c.ctx, turnID(someStudy, 1, 1), noon),
			panel.ErrNotFound)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("after close", c.store.OpenTurn(c.ctx, id, noon), panel.ErrNotOpen)
	}},
	{"waves are released forward", func(c *check) {
		c.opened(2, 2)
		id := sitting(1).ID
		released := func() int { return got[panel.Sitting](c)(c.store.Sitting(c.ctx, id)).Released }
		same(c, "before", released(), 0)
		for _, step := range [][2]int{{2, 2}, {1, 2}, {3, 3}} {
			c.must(c.store.ReleaseWave(c.ctx, id, step[0], event("wave released")))
			same(c, "released", released(), step[1])
		}
		logged := 0
		for _, e := range got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)) {
			if e.What == "wave released" {
				logged++
			}
		}
		same(c, "entries in the log", logged, 2)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("after close", c.store.ReleaseWave(c.ctx, id, 4, event("x")), panel.ErrNotOpen)
	}},
	{"a look at the end of a sitting is noted once", func(c *check) {
		c.opened(2, 2)
		id, look := sitting(1).ID, panel.Look{At: noon, People: 17, Enough: true}
		same(c, "before", got[panel.Sitting](c)(c.store.Sitting(c.ctx, id)).Look, panel.Look{})
		c.must(c.store.NoteLook(c.ctx, id, look, event("looked")))
		c.wantError("again", c.store.NoteLook(c.ctx, id, panel.Look{At: noon.Add(time.Hour)}, event("looked")),
			panel.ErrWrongState)
		same(c, "kept", got[panel.Sitting](c)(c.store.Sitting(c.ctx, id)).Look, look)
		same(c, "in the list", got[[]panel.Sitting](c)(c.store.Sittings(c.ctx, someStudy))[0].Look, look)
		c.wantError("nowhere", c.store.NoteLook(c.ctx, "x", look, event("x")), panel.ErrNotFound)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("after close", c.store.NoteLook(c.ctx, id, look, event("x")), panel.ErrWrongState)
	}},
	{"how a study ends is noted once", func(c *check) {
		c.opened(2, 2)
		later := noon.Add(time.Hour)
		note := func(n panel.StudyNote) { c.must(c.store.NoteStudy(c.ctx, someStudy, n, event("ending"))) }
		note(panel.StudyNote{LastCall: &noon})
		note(panel.StudyNote{LastCall: &later})
		note(panel.StudyNote{Closing: &later})
		note(panel.StudyNote{Closing: &noon})
		kept := got[panel.Study](c)(c.store.Study(c.ctx, someStudy))
		same(c, "last call", kept.LastCallAt, noon)
		same(c, "closing", kept.ClosingAt, later)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("after close", c.store.NoteStudy(c.ctx, someStudy, panel.StudyNote{LastCall: &noon}, event("x")),
			panel.ErrWrongState)
	}},
}
