package panel_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

// TestGuestsAreForgotten: so many days after the close, and not while a guest may still take
// the answers out, nothing tells any more who a guest was; the findings stay.
func TestGuestsAreForgotten(t *testing.T) {
	for _, days := range []int{1, 30} {
		n := newNight(t, strings.Replace(three, "rinse: 30 s", "rinse: 0 s", 1))
		ctx := t.Context()
		token := n.guest("one")
		n.must(n.svc.MoveSeat(ctx, n.floor, n.seat(1).ID, 7, panel.PhoneAct{}))
		b := ballot(t, n.svc, token)
		n.submit(token, panel.Submission{ID: "said", TurnID: b.Turn.ID, Comment: "my aunt's own recipe"}, "30")
		for _, x := range []panel.SeatToken{token, token, n.guest("two"), n.guest("three")} {
			n.taste(x)
		}
		forget := func(want int) {
			t.Helper()
			if got := of[int](n)(n.svc.ForgetGuests(ctx, days)); got != want {
				t.Errorf("after %d days: %d studies forgotten, want %d", days, got, want)
			}
		}
		n.clock.pass(365 * 24 * time.Hour)
		forget(0) // it is open
		n.must(n.svc.Close(ctx, byLead, n.study))
		_, before, err := n.svc.Findings(ctx, n.study)
		n.must(err)
		due := n.clock.now().AddDate(0, 0, max(days, 7)) // guests may take answers out for 7 days
		n.clock.pass(due.Sub(n.clock.now()) - time.Second)
		forget(0)
		if b := ballot(t, n.svc, token); b.Stage != panel.StageDone {
			t.Errorf("the link leads to stage %d before anybody is forgotten", b.Stage)
		}
		n.clock.pass(time.Second)
		forget(1)
		forget(0)
		_, err = n.svc.Ballot(ctx, token)
		n.wantError("the personal link", err, panel.ErrNotFound)
		_, after, err := n.svc.Findings(ctx, n.study)
		n.must(err)
		if len(after.Findings) == 0 || len(after.Findings) != len(before.Findings) ||
			after.Findings[0].Value != before.Findings[0].Value || after.Assessors != before.Assessors {
			t.Errorf("findings before %+v, after %+v", before.Findings, after.Findings)
		}
		if _, c, err := n.svc.Collected(ctx, n.study); err != nil || len(c.Comments) != 0 || len(c.People) != 3 {
			t.Errorf("%d comments of %d people are kept", len(c.Comments), len(c.People))
		}
		n.wantLogged("the service: guests forgotten: links, places and comments")
		if slices.ContainsFunc(n.log(), func(line string) bool { return strings.Contains(line, "table 7") }) {
			t.Error("the log tells the table")
		}
	}
}
