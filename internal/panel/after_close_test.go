package panel_test

import (
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

// TestAnswersAfterCloseAreKeptAside: what a phone without network kept arrives
// after the close, one serving after the other, and floor's scores too.
func TestAnswersAfterCloseAreKeptAside(t *testing.T) {
	n := newNight(t, strings.Replace(three, "rinse: 30 s", "rinse: 0 s", 1))
	ctx := t.Context()
	token, typed := n.guest("one"), n.guest("two")
	n.taste(token)
	second := ballot(t, n.svc, token).Turn
	third := n.seat(2).Next
	n.clock.pass(time.Minute)
	n.must(n.svc.Close(ctx, byLead, n.study))
	n.clock.pass(time.Minute)
	if b := ballot(t, n.svc, token); b.Stage != panel.StageClosed || b.AfterClose != 0 {
		t.Errorf("after close the phone shows %+v", b)
	}
	if r := n.submit(token, panel.Submission{ID: "late", TurnID: second.ID, Comment: "late"},
		"90"); r.Outcome != panel.AfterClose || len(r.Held) != 0 {
		t.Errorf("late answers: %+v", r)
	}
	if b := ballot(t, n.svc, token); b.Stage != panel.StageClosed || b.AfterClose != 1 {
		t.Errorf("after late answers the phone shows %+v", b)
	}
	entered := panel.Submission{ID: "typed", TurnID: third.ID, Given: map[string]string{"a1": "30", "a2": "5"}}
	if r := of[panel.Receipt](n)(n.svc.Enter(ctx, n.floor, entered)); r.Outcome != panel.AfterClose {
		t.Errorf("floor's scores: %+v", r)
	}
	if b := ballot(t, n.svc, typed); b.AfterClose != 1 {
		t.Errorf("the guest for whom floor typed sees %+v", b)
	}
	n.wantLogged("assessor 1: answers after close kept aside: assessor 1, serving 2, code " + string(second.Code))
	_, c, err := n.svc.Collected(ctx, n.study)
	n.must(err)
	if salts(c.Answers) != "1/1=50" || len(c.Replaced) != 2 || !c.Replaced[0].AfterClose ||
		c.Replaced[0].Comment != "late" || c.Replaced[0].Answers[1].Value != 90 {
		t.Errorf("collected %s, aside %+v", salts(c.Answers), c.Replaced)
	}
	_, found, err := n.svc.Findings(ctx, n.study)
	n.must(err)
	if found.Assessors != 1 || found.AfterClose.Assessors != 2 || found.AfterClose.Servings != 2 ||
		found.AfterClose.FindingsVersion() != 1 {
		t.Errorf("findings of %d assessors, after close %+v", found.Assessors, found.AfterClose)
	}
}

// TestWhoIsStillOut counts phones by when they were heard from.
func TestWhoIsStillOut(t *testing.T) {
	n := newNight(t, strings.Replace(three, "rinse: 30 s", "rinse: 0 s", 1))
	ctx := t.Context()
	out := func() panel.StillOut { return of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study)).Out }
	if got := out(); got.Any() {
		t.Errorf("nobody has joined, out %+v", got)
	}
	quiet, done, gone := n.guest("quiet"), n.guest("done"), n.guest("gone")
	ballot(t, n.svc, quiet)
	_ = of[panel.FloorSeat](n)(n.svc.SeatGuest(ctx, n.floor, "guest-without-phone",
		panel.GuestConsent{AllergensRead: true, ConsentRead: true}))
	for range 3 {
		n.taste(done)
	}
	n.taste(gone)
	n.must(n.svc.Leave(ctx, n.floor, n.seat(3).ID, panel.PhoneAct{}))
	if got, want := out(), (panel.StillOut{Heard: 1, WithoutPhone: 1}); got != want {
		t.Errorf("out %+v, want %+v", got, want)
	}
	n.clock.pass(panel.SilentAfter - time.Second)
	n.guest("late") // has just joined
	if got, want := out(), (panel.StillOut{Heard: 2, WithoutPhone: 1}); got != want {
		t.Errorf("a second before, out %+v, want %+v", got, want)
	}
	n.clock.pass(time.Second)
	if got, want := out(), (panel.StillOut{Heard: 1, Silent: 1, WithoutPhone: 1}); got != want {
		t.Errorf("after ten minutes, out %+v, want %+v", got, want)
	}
	ballot(t, n.svc, quiet)
	if got := out(); got.Silent != 0 {
		t.Errorf("heard from again, out %+v", got)
	}
	n.must(n.svc.Close(ctx, byLead, n.study))
	if got := out(); got.Any() {
		t.Errorf("after close, out %+v", got)
	}
}
