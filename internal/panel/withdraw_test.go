package panel_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/panel"
)

// TestWithdrawingAfterClose: until the stated moment guest and lead can take answers
// out, and the findings say that they are another version; from then on neither can.
func TestWithdrawingAfterClose(t *testing.T) {
	n := newNight(t, strings.Replace(three, "rinse: 30 s", "rinse: 0 s", 1))
	ctx := t.Context()
	var guests []panel.SeatToken
	for _, name := range []string{"one", "two", "three", "four"} {
		token := n.guest(name)
		for range 3 {
			n.taste(token)
		}
		guests = append(guests, token)
	}
	if b := ballot(t, n.svc, guests[0]); !b.MayWithdraw || !b.WithdrawUntil.IsZero() {
		t.Errorf("while open the phone shows %+v", b)
	}
	n.clock.pass(time.Hour)
	n.must(n.svc.Close(ctx, byLead, n.study))
	closed := n.clock.now()
	until := closed.AddDate(0, 0, 7)
	if b := ballot(t, n.svc, guests[0]); !b.MayWithdraw || !b.WithdrawUntil.Equal(until) || b.MayCorrect {
		t.Errorf("after close the phone shows %+v, want to withdraw until %v", b, until)
	}
	findings := func() (int, analysis.AfterClose, []analysis.Warning) {
		_, r, err := n.svc.Findings(ctx, n.study)
		n.must(err)
		if r.Stopping.Finished != 4 || r.Stopping.LastDay != closed.Format(time.DateOnly) {
			t.Errorf("tasting ended with %+v, and four had finished whatever they took out later", r.Stopping)
		}
		return r.Assessors, r.AfterClose, r.Warnings
	}
	if people, after, _ := findings(); people != 4 || after.FindingsVersion() != 1 {
		t.Errorf("first findings: %d people, version %d", people, after.FindingsVersion())
	}
	n.clock.pass(time.Hour)
	n.must(n.svc.Withdraw(ctx, guests[0]))
	n.clock.pass(until.Sub(n.clock.now()) - time.Second)
	n.must(n.svc.TakeOut(ctx, n.lead, n.study, 2))
	people, after, warnings := findings()
	if people != 2 || after.FindingsVersion() != 3 || after.Withdrawn[0] != closed.Add(time.Hour).Format(time.RFC3339) {
		t.Errorf("then %d people, %+v", people, after)
	}
	revised := slices.IndexFunc(warnings, func(w analysis.Warning) bool { return w.Code == analysis.WarnRevised })
	if revised < 0 || !strings.Contains(warnings[revised].Text, "version 3 of the findings: 2 assessors") {
		t.Errorf("the findings say %+v", warnings)
	}
	n.wantLogged("assessor 1: withdrew: ")
	n.wantLogged("lead: withdrew: asked for by assessor 2")
	n.wantError("nobody's number", n.svc.TakeOut(ctx, n.lead, n.study, 9), panel.ErrNotFound)
	n.wantError("once more", n.svc.TakeOut(ctx, n.lead, n.study, 2), panel.ErrWithdrawn)
	for _, by := range []panel.Session{n.floor, n.kitchen, {Role: panel.RolePartner}} {
		n.wantError("by "+by.Who(), n.svc.TakeOut(ctx, by, n.study, 3), panel.ErrRefused)
	}
	n.clock.pass(time.Second)
	n.wantError("guest, once it is over", n.svc.Withdraw(ctx, guests[2]), panel.ErrNotOpen)
	n.wantError("lead, once it is over", n.svc.TakeOut(ctx, n.lead, n.study, 3), panel.ErrNotOpen)
	if b := ballot(t, n.svc, guests[2]); b.MayWithdraw || !b.WithdrawUntil.IsZero() {
		t.Errorf("once it is over the phone shows %+v", b)
	}
}

// TestNoWithdrawalAfterClose: a study may give no time after the close.
func TestNoWithdrawalAfterClose(t *testing.T) {
	n := newNight(t, strings.Replace(three, "panel: {assessors: 6}", "panel: {assessors: 6, withdrawal days: 0}", 1))
	token := n.guest("one")
	n.taste(token)
	n.must(n.svc.Close(t.Context(), byLead, n.study))
	if b := ballot(t, n.svc, token); b.MayWithdraw {
		t.Errorf("the phone offers to withdraw: %+v", b)
	}
	n.wantError("withdraw", n.svc.Withdraw(t.Context(), token), panel.ErrNotOpen)
}
