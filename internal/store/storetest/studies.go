package storetest

import (
	"context"
	"sync"
	"time"

	"cloche/internal/panel"
)

var studyTests = []namedTest{
	{"a draft comes back as it was", func(c *check) {
		want := draft(someStudy)
		zoned := want
		zoned.Created = noon.Add(789 * time.Nanosecond).In(time.FixedZone("CEST", 7200))
		c.must(c.store.CreateStudy(c.ctx, zoned, "", happened))
		back := got[panel.Study](c)(c.store.Study(c.ctx, someStudy))
		same(c, "study", back, want)
		c.isUTC("Created", back.Created)
	}},
	{"an id is used once", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		other := draft(someStudy)
		other.File = "another"
		if err := c.store.CreateStudy(c.ctx, other, "", happened); err == nil {
			c.Error("a second study of the same id was taken")
		}
		same(c, "study", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), draft(someStudy))
	}},
	{"only a draft is created", func(c *check) {
		locked := draft(someStudy)
		locked.State = panel.Locked
		c.wantError("create a locked study", c.store.CreateStudy(c.ctx, locked, "", happened), panel.ErrWrongState)
		c.wantError("read it", second(c.store.Study(c.ctx, someStudy)), panel.ErrNotFound)
	}},
	{"studies come newest first", func(c *check) {
		same(c, "no studies", got[[]panel.Study](c)(c.store.Studies(c.ctx)), nil)
		for i, id := range []panel.StudyID{"middle", "oldest", "newest"} {
			made := draft(id)
			made.Created = noon.Add([]time.Duration{time.Microsecond, 0, time.Second}[i])
			c.must(c.store.CreateStudy(c.ctx, made, "", happened))
		}
		var order []panel.StudyID
		for _, listed := range got[[]panel.Study](c)(c.store.Studies(c.ctx)) {
			order = append(order, listed.ID)
			whole := got[panel.Study](c)(c.store.Study(c.ctx, listed.ID))
			same(c, "listed", listed, whole.Listed())
		}
		same(c, "order", order, []panel.StudyID{"newest", "middle", "oldest"})
	}},
	{"locking keeps lock and plan", testLock},
	{"a plan may be large", func(c *check) {
		servings := plan(someStudy, 1, 0, 240, 12)
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), servings, nil, happened))
		same(c, "plan", got[[]panel.Turn](c)(c.store.AllTurns(c.ctx, someStudy)), servings)
	}},
	{"a plan that cannot be kept leaves a draft", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		twice := plan(someStudy, 1, 0, 1, 2)
		twice[2].ID = twice[1].ID
		if err := c.store.LockStudy(c.ctx, someStudy, 1, someLock(), twice, nil, happened); err == nil {
			c.Fatal("a plan with one id twice was taken")
		}
		same(c, "study", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), draft(someStudy))
		same(c, "plan", got[[]panel.Turn](c)(c.store.AllTurns(c.ctx, someStudy)), nil)
	}},
	{"opening and closing are logged with the change, and refused ones are not", func(c *check) {
		c.opened(1, 2)
		entry := func(what string) panel.Event {
			return panel.Event{At: noon, StudyID: someStudy, Who: "lead", What: what}
		}
		c.must(c.store.OpenSitting(c.ctx, sitting(2), entry("opened")))
		c.wantError("open it again", c.store.OpenSitting(c.ctx, sitting(2), entry("opened again")), panel.ErrWrongState)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, entry("closed")))
		c.wantError("close it again", c.store.CloseStudy(c.ctx, someStudy, noon, entry("closed again")),
			panel.ErrWrongState)
		var said []string
		for _, e := range got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)) {
			said = append(said, e.What)
		}
		same(c, "log", said, []string{"opened", "closed"})
	}},
	{"closing keeps when", func(c *check) {
		c.opened(1, 2)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon.Add(3*time.Hour), happened))
		want := draft(someStudy)
		want.State, want.Lock, want.ClosedAt = panel.Closed, someLock(), noon.Add(3*time.Hour)
		same(c, "study", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), want)
	}},
	{"each change needs its state", testStates},
	{"two locks at once", testTwoLocks},
	{"an unknown study is not found", testUnknownStudy},
	{"a cancelled call changes nothing", func(c *check) {
		ctx, cancel := context.WithCancel(c.ctx)
		cancel()
		c.wantError("create", c.store.CreateStudy(ctx, draft(someStudy), "", happened), context.Canceled)
		c.wantError("read", second(c.store.Study(ctx, someStudy)), context.Canceled)
		c.wantError("read afterwards", second(c.store.Study(c.ctx, someStudy)), panel.ErrNotFound)
	}},
}

// second drops a value, to look at the error alone.
func second[T any](_ T, err error) error { return err }

func testLock(c *check) {
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	c.must(c.store.CreateStudy(c.ctx, draft("other"), "", happened))
	turns := plan(someStudy, 1, 0, 3, 2)
	backwards := make([]panel.Turn, 0, len(turns))
	for i := range turns {
		backwards = append(backwards, turns[len(turns)-1-i])
	}
	c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), backwards, nil, happened))
	want := draft(someStudy)
	want.State, want.Lock = panel.Locked, someLock()
	back := got[panel.Study](c)(c.store.Study(c.ctx, someStudy))
	same(c, "study", back, want)
	c.isUTC("Lock.At", back.Lock.At)
	same(c, "plan by place and order", got[[]panel.Turn](c)(c.store.AllTurns(c.ctx, someStudy)), turns)
	same(c, "turns of a place in order", got[[]panel.Turn](c)(c.store.Turns(c.ctx, someStudy, 1)), turns[3:6])
	same(c, "turns at the sitting", got[[]panel.Turn](c)(c.store.TurnsAt(c.ctx, someStudy, 1)), turns)
	same(c, "turns at a sitting that has none", got[[]panel.Turn](c)(c.store.TurnsAt(c.ctx, someStudy, 2)), nil)
	same(c, "the other study", got[panel.Study](c)(c.store.Study(c.ctx, "other")), draft("other"))
}

// testStates walks a study through its states and tries everything in each.
func testStates(c *check) {
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	free := 100 // places and sittings that are not taken yet
	try := map[string]func() error{
		"lock": func() error {
			return c.store.LockStudy(c.ctx, someStudy, 1, someLock(), plan(someStudy, 1, free, 1, 1), nil, happened)
		},
		"open": func() error { free++; return c.store.OpenSitting(c.ctx, sitting(free), happened) },
		"close": func() error {
			return c.store.CloseStudy(c.ctx, someStudy, noon, happened)
		},
	}
	steps := []struct {
		state   panel.State
		refused []string
		next    string // what leads to the next state
	}{
		{panel.Draft, []string{"open", "close"}, "lock"},
		{panel.Locked, []string{"lock", "close"}, "open"},
		{panel.Open, []string{"lock"}, "close"},
		{panel.Closed, []string{"lock", "open", "close"}, ""},
	}
	for _, step := range steps {
		same(c, "state", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)).State, step.state)
		for _, refused := range step.refused {
			c.wantError(refused+" in state "+step.state.String(), try[refused](), panel.ErrWrongState)
		}
		if step.next != "" {
			c.must(try[step.next]())
		}
	}
	same(c, "servings", len(got[[]panel.Turn](c)(c.store.AllTurns(c.ctx, someStudy))), 2)
	same(c, "sittings", len(got[[]panel.Sitting](c)(c.store.Sittings(c.ctx, someStudy))), 1)
}

// testTwoLocks locks one draft from many sides: one plan wins, whole.
func testTwoLocks(c *check) {
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	errs := make([]error, 8)
	var all sync.WaitGroup
	for i := range errs {
		all.Go(func() {
			lock := someLock()
			lock.Engine = i
			errs[i] = c.store.LockStudy(c.ctx, someStudy, 1, lock, plan(someStudy, 1, 10*i, 2, 2), nil, happened)
		})
	}
	all.Wait()
	winner := got[panel.Study](c)(c.store.Study(c.ctx, someStudy)).Lock.Engine
	for i, err := range errs {
		if i == winner {
			c.must(err)
			continue
		}
		c.wantError("lock that came second", err, panel.ErrWrongState)
	}
	same(c, "plan", got[[]panel.Turn](c)(c.store.AllTurns(c.ctx, someStudy)), plan(someStudy, 1, 10*winner, 2, 2))
}

func testUnknownStudy(c *check) {
	for _, id := range []panel.StudyID{"", "nobody", "zero\x00byte", "no \xff UTF-8", "' OR 1=1 --"} {
		_, progress := c.store.Progress(c.ctx, id)
		unknown := map[string]error{
			"read": second(c.store.Study(c.ctx, id)),
			"lock": c.store.LockStudy(c.ctx, id, 1, someLock(), nil, nil, happened),
			"open": c.store.OpenSitting(c.ctx, panel.Sitting{ID: "s", StudyID: id, Number: 1, Join: "j",
				OpenedAt: noon}, happened),
			"close":    c.store.CloseStudy(c.ctx, id, noon, happened),
			"progress": progress,
		}
		for doing, err := range unknown {
			c.wantError(doing+" "+string(id), err, panel.ErrNotFound)
		}
	}
	same(c, "servings", got[[]panel.Turn](c)(c.store.AllTurns(c.ctx, "nobody")), nil)
	same(c, "sittings", got[[]panel.Sitting](c)(c.store.Sittings(c.ctx, "nobody")), nil)
	same(c, "assessors", got[[]panel.Assessor](c)(c.store.Assessors(c.ctx, "nobody")), nil)
	same(c, "ratings", got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, "nobody")), nil)
}
