package storetest

import (
	"time"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// testLastQuestion: the first answer to the last question stands, and goes with whoever
// withdraws; after the close it is kept aside.
func testLastQuestion(c *check) {
	c.opened(2, 2)
	a, late := c.seat(1), c.seat(2)
	said := panel.SaidLast{Guess: study.GuessUnknown, Thought: "fumé – 韮", At: noon, EnteredBy: "floor 2"}
	say := func(id panel.AssessorID, x panel.SaidLast, want panel.Outcome) {
		c.Helper()
		same(c, "outcome", got[panel.Outcome](c)(c.store.SayLast(c.ctx, id, x, happened)), want)
	}
	say(a.ID, said, panel.Recorded)
	say(a.ID, panel.SaidLast{Guess: study.GuessSame, At: noon}, panel.Repeated)
	same(c, "kept", got[panel.Assessor](c)(c.store.Assessor(c.ctx, a.ID)).SaidLast, said)
	c.must(c.store.Withdraw(c.ctx, a.ID, noon, happened))
	same(c, "after withdrawal", got[panel.Assessor](c)(c.store.Assessor(c.ctx, a.ID)).SaidLast, panel.SaidLast{})
	_, err := c.store.SayLast(c.ctx, a.ID, said, happened)
	c.wantError("after withdrawal", err, panel.ErrWithdrawn)
	c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
	c.must(c.store.NoteExport(c.ctx, got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), noon, happened))
	say(late.ID, said, panel.AfterClose)
	said.AfterClose = true
	same(c, "after the close", got[panel.Assessor](c)(c.store.Assessor(c.ctx, late.ID)).SaidLast, said)
	same(c, "exported", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)).ExportedAt, time.Time{})
	_, err = c.store.SayLast(c.ctx, "nobody", said, happened)
	c.wantError("nobody", err, panel.ErrNotFound)
}
