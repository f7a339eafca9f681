package panel_test

import (
	"testing"
	"time"

	"cloche/internal/panel"
)

func TestAGuestStopsAndKeepsTheAnswers(t *testing.T) {
	n := newNight(t, three)
	ctx := t.Context()
	token := n.guest("one")
	n.taste(token)
	n.clock.pass(time.Minute)
	if b := ballot(t, n.svc, token); !b.MayStop {
		t.Error("a guest who tastes is not offered to stop")
	}
	for range 2 { // a tap that arrives twice stops once
		n.must(n.svc.Stop(ctx, token))
	}
	b, s := ballot(t, n.svc, token), n.seat(1)
	if b.Stage != panel.StageLeft || !b.LeftSelf || b.MayStop || !b.MayWithdraw || s.State != panel.SeatLeft ||
		!s.Self {
		t.Errorf("after stopping: stage %d %+v and %+v, want left by their own wish", b.Stage, b, s)
	}
	if rated := n.room().Counts.Rated; rated != 1 {
		t.Errorf("%d rated, want the one before kept", rated)
	}
	n.wantLogged("assessor 1: stopped: by their own wish, answers kept")
	n.must(n.svc.Return(ctx, n.floor, s.ID, panel.PhoneAct{}))
	n.must(n.svc.Leave(ctx, n.floor, s.ID, panel.PhoneAct{}))
	if b := ballot(t, n.svc, token); b.LeftSelf || n.seat(1).Self {
		t.Error("a guest whom floor noted as left counts as stopped by their own wish")
	}
	if got := len(n.closed().Answers); got != 2 {
		t.Errorf("%d values collected, want both of the serving before the stop", got)
	}
}

func TestNothingToStopWhenTheTastingIsOver(t *testing.T) {
	n := newNight(t, three)
	done, closed := n.guest("done"), n.guest("closed")
	for range 3 {
		n.taste(done)
		n.clock.pass(time.Minute)
	}
	n.must(n.svc.Close(t.Context(), byLead, n.study))
	for _, token := range []string{string(done), string(closed)} {
		before := ballot(t, n.svc, panel.SeatToken(token))
		n.must(n.svc.Stop(t.Context(), panel.SeatToken(token)))
		if b := ballot(t, n.svc, panel.SeatToken(token)); before.MayStop || b.Stage != before.Stage ||
			b.Stage == panel.StageLeft {
			t.Errorf("stage %d, then %d; stop offered: %v", before.Stage, b.Stage, before.MayStop)
		}
	}
}

func TestFloorCountsWhoSaidNo(t *testing.T) {
	n := newNight(t, three)
	for _, nonce := range []string{"no", "no", "not me"} {
		n.must(n.svc.Decline(t.Context(), n.sitting.Join, nonce, ""))
	}
	if got := n.room().Declined; got != 2 {
		t.Errorf("floor sees %d who said no, want 2", got)
	}
	logged := 0
	for _, line := range n.log() {
		if line == "a guest: declined: sitting 1" {
			logged++
		}
	}
	if logged != 2 {
		t.Errorf("%d declines in the log, want 2", logged)
	}
}
