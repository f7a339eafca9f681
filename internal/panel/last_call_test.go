package panel_test

import (
	"testing"
	"time"

	"cloche/internal/panel"
)

// TestLastCallIsAnnouncedAndChangesNothingElse: guests, floor, kitchen and lead read it.
func TestLastCallIsAnnouncedAndChangesNothingElse(t *testing.T) {
	n := newNight(t, custard)
	ctx, one := t.Context(), n.guest("one")
	n.wantError("floor", n.svc.LastCall(ctx, n.floor, n.study), panel.ErrRefused)
	if b := ballot(t, n.svc, one); b.Notice() != "" {
		t.Errorf("before: %q", b.Notice())
	}
	n.must(n.svc.LastCall(ctx, n.lead, n.study))
	n.clock.pass(time.Minute)
	n.must(n.svc.LastCall(ctx, n.lead, n.study)) // the first moment counts
	want := n.clock.now().Add(-time.Minute)
	sheet := of[panel.KitchenSheet](n)(n.svc.KitchenSheet(ctx, n.kitchen))
	live := of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study))
	for who, e := range map[string]panel.Ending{"guest": ballot(t, n.svc, one).Ending, "floor": n.room().Ending,
		"kitchen": sheet.Ending, "lead": live.Ending} {
		if !e.LastCall.Equal(want) || e.Closing() {
			t.Errorf("%s reads %+v, want the last call at %v", who, e, want)
		}
	}
	n.guest("two")
	n.taste(one)
	n.wantLogged("lead: last call: ")
}

// TestThoseWhoTasteHaveTheMinutesOfGrace: when the study is to close, whoever has a plate may
// answer it for as long as the study says; nobody joins, nothing more goes out, and what arrives
// later is kept aside.
func TestThoseWhoTasteHaveTheMinutesOfGrace(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	tasting, rinsing, late := n.guest("tasting"), n.guest("rinsing"), n.guest("late")
	n.must(n.svc.Serve(ctx, n.floor, n.seat(1).Next.ID, panel.PhoneAct{}))
	n.must(n.svc.Serve(ctx, n.floor, n.seat(3).Next.ID, panel.PhoneAct{}))
	lateTurn := ballot(t, n.svc, late).Turn.ID
	n.taste(rinsing)
	n.must(n.svc.BeginClose(ctx, n.lead, n.study))
	ends := n.clock.now().Add(5 * time.Minute)
	_, err := n.svc.Consent(ctx, n.sitting.Join, "too late", panel.PhoneConsent{})
	n.wantError("join", err, panel.ErrNotOpen)
	_, err = n.svc.SeatGuest(ctx, n.floor, "too late", panel.GuestConsent{AllergensRead: true, ConsentRead: true})
	n.wantError("seat a guest", err, panel.ErrNotOpen)
	if w := of[panel.Welcome](n)(n.svc.Welcome(ctx, n.sitting.Join)); w.Stand != panel.StandOver {
		t.Errorf("who comes now reads %v", w.Stand)
	}
	n.clock.pass(31 * time.Second) // the rinse is over
	for token, want := range map[panel.SeatToken]panel.Stage{tasting: panel.StageServing,
		rinsing: panel.StageClosed, late: panel.StageServing} {
		if b := ballot(t, n.svc, token); b.Stage != want || !b.Ends.Equal(ends) {
			t.Errorf("stage %d until %v, want %d until %v", b.Stage, b.Ends, want, ends)
		}
	}
	for wave := 1; wave <= 2; wave++ {
		for state, count := range n.states(wave) {
			if state == panel.PlateNow || state == panel.PlateNext || state == panel.PlateLater {
				t.Errorf("wave %d: the kitchen still has %d plates %s", wave, count, state)
			}
		}
	}
	n.taste(tasting)
	n.clock.pass(time.Minute)
	if got := ballot(t, n.svc, tasting).Stage; got != panel.StageClosed {
		t.Errorf("stage %d after the plate in front of them, want the end", got)
	}
	n.clock.pass(5 * time.Minute)
	if got := ballot(t, n.svc, late).Stage; got != panel.StageClosed {
		t.Errorf("stage %d after the grace, want the end", got)
	}
	if r := n.submit(late, panel.Submission{ID: "late", TurnID: lateTurn}, "99"); r.Outcome != panel.AfterClose {
		t.Errorf("answers after the grace are %v, want kept aside", r.Outcome)
	}
	if b := ballot(t, n.svc, late); b.AfterClose != 1 {
		t.Errorf("the phone says that %d came too late, want 1", b.AfterClose)
	}
	n.must(n.svc.Close(ctx, n.lead, n.study))
	_, rated, err := n.svc.Ratings(ctx, n.study)
	n.must(err)
	if len(rated) != 4 {
		t.Errorf("%d ratings count, want those of two servings in two respects", len(rated))
	}
}

func TestNoGraceWhereTheStudyGivesNone(t *testing.T) {
	n := newNight(t, replaced(custard, "seed: 7", "minutes of grace: 0, seed: 7"))
	n.guest("one")
	n.wantError("grace", n.svc.BeginClose(t.Context(), n.lead, n.study), panel.ErrWrongState)
}
