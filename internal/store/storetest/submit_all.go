package storetest

import "cloche/internal/panel"

var submitAllTests = []namedTest{
	{"submissions are taken all at once, and logged", func(c *check) {
		c.opened(2, 2)
		a, b := c.seat(1), c.seat(2)
		imported := panel.Event{At: noon, StudyID: someStudy, Who: "lead", What: "imported"}
		entered := panel.Event{At: noon, StudyID: someStudy, Who: "lead", What: "entered"}
		c.must(c.store.SubmitAll(c.ctx, []panel.Submitted{submission("s1", a, 1, 1), submission("s1", b, 1, 2)},
			func(int, panel.Standing) (panel.Outcome, *panel.Event) { return panel.Recorded, &entered }, imported))
		same(c, "of the first", c.values(a, 1), valuesOf(1))
		same(c, "of the second", c.values(b, 1), valuesOf(2))
		same(c, "log", got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)),
			[]panel.Event{entered, entered, imported})
	}},
	{"of submissions of which one does not count none is taken", func(c *check) {
		c.opened(2, 2)
		a, b := c.seat(1), c.seat(2)
		c.submit(submission("before", b, 1, 3), panel.Recorded)
		imported := panel.Event{At: noon, StudyID: someStudy, Who: "lead", What: "imported"}
		all := []panel.Submitted{submission("s1", a, 1, 1), submission("s1", b, 1, 2)}
		judge := func(_ int, st panel.Standing) (panel.Outcome, *panel.Event) {
			if st.Held {
				return panel.Corrected, nil
			}
			return panel.Recorded, nil
		}
		c.wantError("one is answered", c.store.SubmitAll(c.ctx, all, judge, imported), panel.ErrRated)
		c.wantError("the other", thirdOf(c.store.Answers(c.ctx, all[0].TurnID)), panel.ErrNotFound)
		same(c, "what stands", c.values(b, 1), valuesOf(3))
		same(c, "log", len(got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy))), 0)
		again := []panel.Submitted{submission("s1", a, 1, 1), submission("before", b, 1, 2)}
		c.wantError("one was taken before", c.store.SubmitAll(c.ctx, again, judge, imported), panel.ErrRated)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("after the close", c.store.SubmitAll(c.ctx, all[:1],
			func(int, panel.Standing) (panel.Outcome, *panel.Event) { return panel.AfterClose, nil }, imported),
			panel.ErrNotOpen)
	}},
}
