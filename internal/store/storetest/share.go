package storetest

import (
	"time"

	"cloche/internal/panel"
)

var shareTests = []namedTest{
	{"a report is shared until a moment, shared anew and no more", func(c *check) {
		c.opened(1, 1)
		c.wantError("share an open study", c.store.ShareReport(c.ctx, someStudy, noon, happened), panel.ErrWrongState)
		c.wantError("end the sharing of one", c.store.EndSharing(c.ctx, someStudy, happened), panel.ErrWrongState)
		c.wantError("share none", c.store.ShareReport(c.ctx, "nobody", noon, happened), panel.ErrNotFound)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("until when, unshared", second(c.store.SharedUntil(c.ctx, someStudy)), panel.ErrNotFound)
		for _, ends := range []time.Time{noon.Add(time.Hour), noon.Add(24*time.Hour + time.Microsecond)} {
			c.must(c.store.ShareReport(c.ctx, someStudy, ends, event("shared")))
			same(c, "until when", got[time.Time](c)(c.store.SharedUntil(c.ctx, someStudy)), ends)
		}
		c.must(c.store.EndSharing(c.ctx, someStudy, event("no longer")))
		c.must(c.store.EndSharing(c.ctx, someStudy, event("a second time")))
		c.wantError("until when, no more", second(c.store.SharedUntil(c.ctx, someStudy)), panel.ErrNotFound)
		var logged []string
		for _, e := range got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)) {
			if e.What == "shared" || e.What == "no longer" || e.What == "a second time" {
				logged = append(logged, e.What)
			}
		}
		same(c, "log", logged, []string{"shared", "shared", "no longer"})
	}},
}
