package storetest

import (
	"fmt"
	"sync"
	"time"

	"cloche/internal/panel"
)

var serviceTests = []namedTest{
	{"the log keeps the order in which entries came", func(c *check) {
		entries := []panel.Event{
			{At: noon.Add(time.Hour), StudyID: someStudy, Who: "lead", What: "locked", Detail: "Lauch – 韮"},
			{At: noon, StudyID: someStudy, Who: "assessor 3", What: "joined"},
			{At: noon.Add(time.Minute), StudyID: "other", Who: "lead", What: "locked"},
			{At: noon.Add(time.Second), Who: "lead", What: "password set"},
		}
		for _, entry := range entries {
			c.must(c.store.AppendEvent(c.ctx, entry))
		}
		back := got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy))
		same(c, "of the study", back, entries[:2])
		same(c, "of the service", got[[]panel.Event](c)(c.store.Events(c.ctx, "")), entries[3:])
		same(c, "of nothing", got[[]panel.Event](c)(c.store.Events(c.ctx, "nothing")), nil)
		c.isUTC("At", back[0].At)
	}},
	{"entries that come at once are all kept", func(c *check) {
		var all sync.WaitGroup
		for i := range 50 {
			all.Go(func() {
				if err := c.store.AppendEvent(c.ctx, panel.Event{At: noon, StudyID: someStudy, Who: fmt.Sprint(i),
					What: "joined"}); err != nil {
					c.Errorf("entry %d: %v", i, err)
				}
			})
		}
		all.Wait()
		who := map[string]int{}
		for _, entry := range got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)) {
			who[entry.Who]++
		}
		if len(who) != 50 {
			c.Errorf("%d different entries, want 50", len(who))
		}
		same(c, "faults", got[panel.CheckedLog](c)(panel.CheckLog(c.ctx, c.store, someStudy)).Faults, nil)
	}},
	{"each log is a chain of its own", testChain},
	{"a setting is set once", func(c *check) {
		c.wantError("before", second(c.store.Setting(c.ctx, "password")), panel.ErrNotFound)
		same(c, "first", got[bool](c)(c.store.SetSetting(c.ctx, "password", "æ$1")), true)
		same(c, "second", got[bool](c)(c.store.SetSetting(c.ctx, "password", "other")), false)
		same(c, "value", got[string](c)(c.store.Setting(c.ctx, "password")), "æ$1")
		same(c, "another", got[bool](c)(c.store.SetSetting(c.ctx, "empty", "")), true)
		same(c, "empty value", got[string](c)(c.store.Setting(c.ctx, "empty")), "")
	}},
	{"two first passwords at once", func(c *check) {
		set := make([]bool, 10)
		var all sync.WaitGroup
		for i := range set {
			all.Go(func() {
				var err error
				if set[i], err = c.store.SetSetting(c.ctx, "password", fmt.Sprint(i)); err != nil {
					c.Errorf("set %d: %v", i, err)
				}
			})
		}
		all.Wait()
		value := got[string](c)(c.store.Setting(c.ctx, "password"))
		for i, first := range set {
			if first != (value == fmt.Sprint(i)) {
				c.Errorf("setter %d was told %v, value kept is %q", i, first, value)
			}
		}
	}},
	{"a session that has expired goes with the next sign-in", func(c *check) {
		for token, expires := range map[panel.TokenHash]time.Time{"past": noon.Add(-time.Hour), "now": noon,
			"later": noon.Add(time.Microsecond)} {
			c.must(c.store.CreateSession(c.ctx, token, panel.Session{Role: panel.RoleLead, Expires: expires},
				noon.Add(-2*time.Hour)))
		}
		c.must(c.store.CreateSession(c.ctx, "new", panel.Session{Role: panel.RoleLead, Expires: noon.Add(time.Hour)},
			noon))
		c.wantError("past", second(c.store.Session(c.ctx, "past")), panel.ErrNotFound)
		c.wantError("now", second(c.store.Session(c.ctx, "now")), panel.ErrNotFound)
		got[panel.Session](c)(c.store.Session(c.ctx, "later"))
		got[panel.Session](c)(c.store.Session(c.ctx, "new"))
	}},
	{"a session lives until it is deleted", func(c *check) {
		c.wantError("before", second(c.store.Session(c.ctx, "a")), panel.ErrNotFound)
		lead := panel.Session{Role: panel.RoleLead, Expires: noon}
		zoned := lead
		zoned.Expires = noon.In(time.FixedZone("CET", 3600))
		floor := panel.Session{Role: panel.RoleFloor, StudyID: someStudy, SittingID: someSitting, Label: "3",
			Expires: noon.Add(time.Hour)}
		c.must(c.store.CreateSession(c.ctx, "a", zoned, noon.Add(-time.Hour)))
		c.must(c.store.CreateSession(c.ctx, "b", floor, noon.Add(-time.Hour)))
		back := got[panel.Session](c)(c.store.Session(c.ctx, "a"))
		same(c, "session", back, lead)
		c.isUTC("expiry", back.Expires)
		if err := c.store.CreateSession(c.ctx, "a", floor, noon.Add(-time.Hour)); err == nil {
			c.Error("a second session of the same token was taken")
		}
		c.must(c.store.DeleteSession(c.ctx, "a"))
		c.must(c.store.DeleteSession(c.ctx, "a"))
		c.wantError("after", second(c.store.Session(c.ctx, "a")), panel.ErrNotFound)
		same(c, "the other", got[panel.Session](c)(c.store.Session(c.ctx, "b")), floor)
	}},
}

func testChain(c *check) {
	zoned := noon.Add(789 * time.Nanosecond).In(time.FixedZone("CET", 3600))
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", entry(someStudy, "begun")))
	c.must(c.store.CreateStudy(c.ctx, draft("other"), "", entry("other", "begun")))
	for _, e := range []panel.Event{
		{At: zoned, StudyID: someStudy, Who: "lead", What: "a\tb\\", Detail: "Lauch –\n韮\r"},
		{At: noon, Who: "lead", What: "signed in"},
		{At: noon, StudyID: someStudy, Who: "lead", What: "locked"},
	} {
		c.must(c.store.AppendEvent(c.ctx, e))
	}
	refused := entry(someStudy, "deleted")
	err := c.store.DeleteStudy(c.ctx, someStudy, panel.Deletion{}, func(panel.Study, panel.Progress,
		panel.LogEnd) panel.Event {
		return refused
	})
	c.wantError("a deletion that is refused", err, panel.ErrNotExported)
	entries, end, err := c.store.Entries(c.ctx, someStudy)
	c.must(err)
	before := ""
	for i, e := range entries {
		same(c, "number", e.Number, i+1)
		same(c, "hash of the one before", e.Before, before)
		same(c, "hash", e.Hash, e.Sum())
		c.isUTC("moment", e.At)
		before = e.Hash
	}
	same(c, "end", end, panel.LogEnd{Number: 3, Hash: before})
	same(c, "logs", got[[]panel.StudyID](c)(c.store.Logs(c.ctx)), []panel.StudyID{"", "other", someStudy})
	n := 0
	c.must(panel.CheckLogs(c.ctx, c.store, func(x panel.CheckedLog) {
		n += len(x.Entries)
		same(c, "faults in "+string(x.StudyID), x.Faults, nil)
	}))
	same(c, "entries of all", n, 5)
}
