package panel_test

import (
	"testing"
	"time"

	"cloche/internal/panel"
)

// states are where the plates of a wave stand, counted.
func (n *night) states(wave int) map[panel.PlateState]int {
	n.t.Helper()
	all := map[panel.PlateState]int{}
	for _, p := range of[panel.KitchenSheet](n)(n.svc.KitchenSheet(n.t.Context(), n.kitchen)).Waves[wave-1].Plates {
		all[p.State]++
	}
	return all
}

// TestWavesAreHeldBackUntilReleased: with nothing released each plate is due when its guest is
// ready; from the first release on, plates of later waves are held back, and floor reads why.
func TestWavesAreHeldBackUntilReleased(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	one, two := n.guest("one"), n.guest("two")
	free := of[panel.KitchenSheet](n)(n.svc.KitchenSheet(ctx, n.kitchen)).Released
	if free != (panel.Waves{Of: 2, Next: 1}) || free.Held() {
		t.Errorf("before any release: %+v", free)
	}
	n.taste(one)
	n.clock.pass(time.Minute)
	if got := n.states(2)[panel.PlateNow]; got != 1 {
		t.Fatalf("%d plates of wave 2 are due while nothing is held back, want 1", got)
	}
	n.must(n.svc.ReleaseWave(ctx, n.kitchen, "", 1, panel.PhoneAct{ID: "tap"}))
	n.wantError("the same tap again", n.svc.ReleaseWave(ctx, n.kitchen, "", 1, panel.PhoneAct{ID: "tap"}),
		panel.ErrRepeated)
	n.wantLogged("kitchen 1: wave released: sitting 1, wave 1")
	if got := n.states(2); got[panel.PlateNow]+got[panel.PlateNext] != 0 {
		t.Errorf("wave 2 while it is held back: %v", got)
	}
	if got := n.states(1)[panel.PlateNow]; got != 1 {
		t.Errorf("%d plates of wave 1 are due, want that of the second guest", got)
	}
	if s := n.seat(1); s.State != panel.SeatWaiting || s.Held != 2 || n.seat(2).Held != 0 {
		t.Errorf("floor reads %+v", s)
	}
	if w := n.room().Waves; !w.Held() || w.Released != 1 || w.Next != 2 {
		t.Errorf("floor reads %+v", w)
	}
	n.must(n.svc.ReleaseWave(ctx, n.lead, n.sitting.ID, 2, panel.PhoneAct{}))
	if got := n.states(2)[panel.PlateNow]; got != 1 || n.seat(1).Held != 0 {
		t.Errorf("%d plates of wave 2 after its release, floor reads %d", got, n.seat(1).Held)
	}
	// A tap that was kept without network comes late: what is released stays so.
	n.must(n.svc.ReleaseWave(ctx, n.kitchen, "", 1, panel.PhoneAct{ID: "late"}))
	if w := n.room().Waves; w.Held() || w.Next != 0 {
		t.Errorf("after every wave was released: %+v", w)
	}
	for _, wave := range []int{-1, 0, 3} {
		n.wantError("a wave that there is not", n.svc.ReleaseWave(ctx, n.kitchen, "", wave, panel.PhoneAct{}),
			panel.ErrBadValue)
	}
	n.wantError("floor", n.svc.ReleaseWave(ctx, n.floor, "", 1, panel.PhoneAct{}), panel.ErrRefused)
	n.taste(two)
}

// TestPlateIsLateAtThePassWhenTheStudySays: the minutes are the study's.
func TestPlateIsLateAtThePassWhenTheStudySays(t *testing.T) {
	for _, tc := range []struct {
		key  string
		long time.Duration
	}{{"seed: 7", 3 * time.Minute}, {"minutes at the pass: 5, seed: 7", 5 * time.Minute}} {
		n := newNight(t, replaced(custard, "seed: 7", tc.key))
		ctx := t.Context()
		n.guest("one")
		code := n.seat(1).Next.Plates[0].Code
		// It was noted without network ten seconds before it was sent.
		n.must(n.svc.AtPass(ctx, n.kitchen, code, true, panel.PhoneAct{ID: "kept", Waited: 10 * time.Second}))
		if got := of[panel.KitchenSheet](n)(n.svc.KitchenSheet(ctx, n.kitchen)).PassLong; got != tc.long {
			t.Errorf("%s: marked after %v, want %v", tc.key, got, tc.long)
		}
		n.clock.pass(tc.long - 11*time.Second)
		if s := n.seat(1); s.Late || s.Passes != tc.long-time.Second {
			t.Errorf("%s: a second before, %v: late %v", tc.key, s.Passes, s.Late)
		}
		n.clock.pass(time.Second)
		if s := n.seat(1); !s.Late {
			t.Errorf("%s: not late after %v", tc.key, s.Passes)
		}
	}
}
