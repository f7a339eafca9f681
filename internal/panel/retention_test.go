package panel_test

import (
	"strings"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/panel"
)

// TestOldStudiesAreDeleted: so many days after the close, and not while a guest may still take the answers out,
// nothing of a study is left but what it found, where that is wished.
func TestOldStudiesAreDeleted(t *testing.T) {
	say := func(_ panel.Study, found *analysis.Result) (string, int) { return "They differ.", found.Assessors }
	for _, tc := range []struct {
		days int
		say  panel.Sayer
	}{{1, say}, {30, say}, {30, nil}} {
		n := newNight(t, strings.Replace(three, "rinse: 30 s", "rinse: 0 s", 1))
		ctx := t.Context()
		for _, x := range []string{"one", "two", "three"} {
			token := n.guest(x)
			n.taste(token)
			n.taste(token)
		}
		remove := func(want int) {
			t.Helper()
			if got := of[int](n)(n.svc.DeleteOld(ctx, tc.days, tc.say)); got != want {
				t.Errorf("after %d days: %d studies deleted, want %d", tc.days, got, want)
			}
		}
		n.clock.pass(365 * 24 * time.Hour)
		remove(0) // it is open
		n.must(n.svc.Close(ctx, byLead, n.study))
		stored, before, err := n.svc.Findings(ctx, n.study)
		n.must(err)
		due := n.clock.now().AddDate(0, 0, max(tc.days, 7)) // guests may take answers out for 7 days
		n.clock.pass(due.Sub(n.clock.now()) - time.Second)
		remove(0)
		n.clock.pass(time.Second)
		remove(1)
		remove(0)
		_, err = n.svc.Study(ctx, n.study)
		n.wantError("the study", err, panel.ErrNotFound)
		log := of[panel.CheckedLog](n)(n.svc.Log(ctx, byOwner, "")).Entries
		last := log[len(log)-1]
		if last.Who != "the service" || last.What != "study deleted" ||
			!strings.Contains(last.Detail, stored.Spec.Title) ||
			strings.Contains(last.Detail, "its verdict stays") != (tc.say != nil) {
			t.Errorf("the log of the service ends with %+v", last)
		}
		kept := of[[]panel.JoinedStudy](n)(n.svc.KeptVerdicts(ctx, byLead))
		if tc.say == nil {
			if len(kept) > 0 {
				t.Errorf("kept, though nobody wished it: %+v", kept)
			}
			continue
		}
		if len(kept) != 1 || kept[0].Said != "They differ." || kept[0].People != before.Assessors ||
			!kept[0].ClosedAt.Equal(stored.ClosedAt) || kept[0].Title != stored.Spec.Title {
			t.Errorf("kept: %+v", kept)
		}
	}
}
