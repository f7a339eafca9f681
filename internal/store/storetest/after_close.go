package storetest

import (
	"time"

	"cloche/internal/panel"
)

// testAfterClose: answers that arrive after the close are kept with all that came
// with them, count nowhere, and make an export that was made before an old one.
func testAfterClose(c *check) {
	c.opened(2, 2)
	a, other := c.seat(1), c.seat(2)
	c.rate(a, 1, 1)
	c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
	exported := got[panel.Study](c)(c.store.Study(c.ctx, someStudy))
	c.must(c.store.NoteExport(c.ctx, exported, noon, happened))
	late := submission("late", a, 2, 7)
	late.Seq, late.Comment, late.EnteredBy, late.At = 4, "smoky", "floor 1", noon.Add(time.Hour)
	seen, outcome := c.submit(late, panel.AfterClose)
	same(c, "closed", seen.Closed, true)
	same(c, "outcome", outcome, panel.AfterClose)
	_, outcome = c.submit(late, panel.AfterClose)
	same(c, "again", outcome, panel.Repeated)
	c.submit(submission("changed", a, 1, 9), panel.AfterClose)
	same(c, "values", c.values(a, 1), valuesOf(1))
	same(c, "ratings", len(got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy))), 3)
	aside := got[[]panel.Replaced](c)(c.store.ReplacedAll(c.ctx, someStudy))
	if len(aside) != 2 {
		c.Fatalf("%d sets of answers kept aside, want 2", len(aside))
	}
	kept := map[string]float64{}
	for _, x := range aside[0].Answers {
		kept[string(x.Attribute)] = x.Value
	}
	same(c, "kept values", kept, valuesOf(7))
	aside[0].Answers = nil
	same(c, "kept aside", aside[0], panel.Replaced{TurnID: late.TurnID, AfterClose: true, Seq: 4, EnteredBy: "floor 1",
		Comment: "smoky",
		At:      late.At, ReplacedAt: late.At})
	same(c, "servings after close", got[int](c)(c.store.AfterClose(c.ctx, a.ID)), 2)
	same(c, "of another", got[int](c)(c.store.AfterClose(c.ctx, other.ID)), 0)
	same(c, "exported", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)).ExportedAt, time.Time{})
	_, err := c.store.Submit(c.ctx, submission("wrong", other, 1, 1),
		func(panel.Standing) (panel.Outcome, *panel.Event) { return panel.Recorded, nil })
	if err == nil {
		c.Error("answers after the close were recorded")
	}
}

// testForgetGuests: what could tell who a guest was is gone, and nothing else is.
func testForgetGuests(c *check) {
	c.opened(2, 2)
	a, other := c.seat(1), c.seat(2)
	seat, table := "by the window", 4
	c.must(c.store.NoteAssessor(c.ctx, a.ID, panel.AssessorNote{Seat: &seat, Table: &table}, event("table noted")))
	said := submission("said", a, 1, 3)
	said.Comment, said.At = "my own words", noon
	c.submit(said, panel.Recorded)
	c.rate(other, 1, 2)
	c.wantError("while it is open", c.store.ForgetGuests(c.ctx, someStudy, noon, happened), panel.ErrWrongState)
	c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
	c.must(c.store.NoteExport(c.ctx, got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), noon, happened))
	answers := got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy))
	for range 2 {
		c.must(c.store.ForgetGuests(c.ctx, someStudy, noon.Add(time.Hour), event("guests forgotten")))
	}
	for n := 1; n <= 2; n++ {
		c.wantError("a personal link", second(c.store.AssessorByToken(c.ctx, token(n))), panel.ErrNotFound)
	}
	for _, x := range got[[]panel.Assessor](c)(c.store.Assessors(c.ctx, someStudy)) {
		same(c, "place in the room", []any{x.Seat, x.Table, x.TableSeat}, []any{"", 0, 0})
	}
	for _, x := range got[[]panel.AnsweredTurn](c)(c.store.AnsweredTurns(c.ctx, someStudy)) {
		same(c, "comment", x.Comment, "")
	}
	same(c, "answers", got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)), answers)
	s := got[panel.Study](c)(c.store.Study(c.ctx, someStudy))
	same(c, "since", s.ForgottenAt, noon.Add(time.Hour))
	same(c, "exported", s.ExportedAt, time.Time{})
	log := got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy))
	same(c, "log", log, []panel.Event{event("table noted"), event("guests forgotten")})
}
