package storetest

import (
	"time"

	"cloche/internal/panel"
)

// passTests: a turn notes since when it stands at the pass, until its plate is dropped.
var passTests = []namedTest{
	{"a turn stands at the pass until its plate is dropped", func(c *check) {
		c.withSpares(2, 2)
		a := c.seat(1)
		id, plate := turnID(someStudy, a.Place, 1), servingID(someStudy, a.Place, 1)
		at := func() time.Time { return got[panel.Turn](c)(c.store.Turn(c.ctx, id)).PassedAt }
		note := func(t time.Time) {
			c.must(c.store.NoteTurn(c.ctx, id, panel.TurnNote{Passed: &t}, event("at the pass")))
		}
		note(noon)
		same(c, "noted", at(), noon)
		note(time.Time{})
		same(c, "taken back", at(), time.Time{})
		note(noon)
		code := got[panel.Turn](c)(c.store.Turn(c.ctx, id)).Servings[0].Code
		_ = got[panel.Serving](c)(c.store.Drop(c.ctx, plate, code, noon, event("dropped")))
		same(c, "dropped", at(), time.Time{})
	}},
}

var incidentTests = []namedTest{
	{"what went wrong with a turn is kept once of each kind, and taken back", func(c *check) {
		c.opened(2, 2)
		a := c.seat(1)
		id, later := turnID(someStudy, a.Place, 1), noon.Add(time.Minute)
		noted := func(what panel.Incident, at time.Time) panel.NotedIncident {
			return panel.NotedIncident{TurnID: id, What: what, At: at, Who: "floor 1"}
		}
		note := func(what panel.Incident, at time.Time, happened bool) {
			c.Helper()
			c.must(c.store.NoteIncident(c.ctx, noted(what, at), happened, event("incident")))
		}
		note(panel.Unwell, noon, true)
		note(panel.Spilt, later, true)
		note(panel.Unwell, later, true) // the first moment stands
		note(panel.Talked, later, true)
		note(panel.Talked, later, false)
		same(c, "kept", got[[]panel.NotedIncident](c)(c.store.Incidents(c.ctx, someStudy)),
			[]panel.NotedIncident{noted(panel.Unwell, noon), noted(panel.Spilt, later)})
		c.rate(a, 1, 1)
		for _, r := range got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)) {
			same(c, "of an answer", r.Incidents, []panel.Incident{panel.Spilt, panel.Unwell})
		}
		same(c, "log", len(got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy))), 5)
		nothing := panel.NotedIncident{TurnID: "none", What: panel.Spilt}
		c.wantError("of no turn", c.store.NoteIncident(c.ctx, nothing, true, event("x")), panel.ErrNotFound)
		c.must(c.store.Withdraw(c.ctx, a.ID, later, event("withdrawn")))
		same(c, "after they took their answers out",
			len(got[[]panel.NotedIncident](c)(c.store.Incidents(c.ctx, someStudy))), 0)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("after close", c.store.NoteIncident(c.ctx, noted(panel.Spilt, later), true, event("x")),
			panel.ErrNotOpen)
	}},
}
