package panel_test

import (
	"testing"
	"time"

	"cloche/internal/panel"
)

func TestTheBoardCounts(t *testing.T) {
	n := newNight(t, three)
	ctx := t.Context()
	start := n.clock.now()
	one := n.guest("one")
	n.guest("two")
	left := n.guest("left")
	n.must(n.svc.Decline(ctx, n.sitting.Join, "no", ""))
	n.clock.pass(4 * time.Minute)
	n.taste(one)
	n.taste(left)
	n.must(n.svc.Leave(ctx, n.floor, n.seat(3).ID, panel.PhoneAct{}))
	n.must(n.svc.SetSeat(ctx, n.floor, n.seat(2).ID, "bar", panel.PhoneAct{}))
	live := of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study))
	if live.State != panel.Open || len(live.Sittings) != 1 {
		t.Fatalf("board %+v", live)
	}
	s := live.Sittings[0]
	if s.Places != 6 || s.Joined() != 3 || s.Rinsing != 1 || s.Waiting != 1 || s.Left != 1 || s.Declined != 1 ||
		s.Rated != 2 || s.Expected != 7 {
		t.Errorf("board %+v, want 6 places, 3 joined, 1 rinsing, 1 waiting, 1 left, 1 declined, 2 of 7 servings", s)
	}
	if s.Pace != 0.5 || !s.End.Equal(start.Add(14*time.Minute)) {
		t.Errorf("pace %g to %v, want 2 in 4 minutes and the other 5 in 10 more", s.Pace, s.End)
	}
	n.must(n.svc.ReleaseWave(ctx, n.kitchen, "", 1, panel.PhoneAct{}))
	if h := of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study)).Sittings[0]; h.Pace != 0.5 || !h.End.IsZero() {
		t.Errorf("held back: pace %g to %v, want no end while plates wait for a release", h.Pace, h.End)
	}
	n.must(n.svc.ReleaseWave(ctx, n.kitchen, "", s.Waves.Of, panel.PhoneAct{}))
	if len(s.Longest) != 1 || s.Longest[0].Label != 2 || s.Longest[0].Seat != "bar" ||
		s.Longest[0].Waiting != 4*time.Minute {
		t.Errorf("waiting %+v, want seat 2 since 4 minutes", s.Longest)
	}
	n.clock.pass(11 * time.Minute)
	s = of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study)).Sittings[0]
	if s.Pace != 0 || !s.End.IsZero() || s.Longest[0].Label != 2 || s.Longest[1].Label != 1 ||
		s.Longest[1].Waiting != 10*time.Minute+30*time.Second {
		t.Errorf("later %+v, want no pace, and seat 1 to wait since its rinse ended", s)
	}
	if k := of[panel.Live](n)(n.svc.Live(ctx, n.kitchen, n.study)).Sittings[0]; k.Seats != nil || k.Longest != nil ||
		k.Rated != 2 {
		t.Errorf("the kitchen's board %+v, want numbers alone", k)
	}
	if f := of[panel.Live](n)(n.svc.Live(ctx, n.floor, n.study)).Sittings[0]; len(f.Seats) != 3 {
		t.Errorf("the floor's board %+v, want its seats", f)
	}
}

// TestImbalanceIsANumber compares with the plan: the first guest alone is one
// sample at each position; a whole square is even.
func TestImbalanceIsANumber(t *testing.T) {
	n := newNight(t, three)
	for i, want := range []int{1, 1, 1, 1, 1, 0} {
		token := n.guest(string(rune('a' + i)))
		for range 3 {
			n.taste(token)
			n.clock.pass(time.Minute)
		}
		got := of[panel.Live](n)(n.svc.Live(t.Context(), n.lead, n.study)).Sittings[0].Imbalance
		// Each block of three is a Latin square: after it every position is even.
		if i == 2 {
			want = 0
		}
		if got != want {
			t.Errorf("after %d guests the imbalance is %d, want %d", i+1, got, want)
		}
	}
}

func TestWatchersHearOfChanges(t *testing.T) {
	n := newNight(t, custard)
	changed, stop := n.svc.Watch(n.study)
	other, stopOther := n.svc.Watch("another study")
	defer stopOther()
	heard := func() bool {
		select {
		case <-changed:
			return true
		default:
			return false
		}
	}
	if heard() {
		t.Error("heard of a change before there was one")
	}
	token := n.guest("one") // two changes, of which one value is kept
	if !heard() || heard() {
		t.Error("two changes that nobody waited for should give one value")
	}
	n.taste(token)
	if !heard() {
		t.Error("did not hear of a rating")
	}
	n.must(n.svc.Serve(t.Context(), n.floor, func() panel.TurnID {
		n.clock.pass(time.Minute)
		return n.seat(1).Next.ID
	}(), panel.PhoneAct{}))
	if !heard() {
		t.Error("did not hear of a plate")
	}
	stop()
	n.taste(token)
	if heard() {
		t.Error("heard of a change after stopping")
	}
	if len(other) != 0 {
		t.Error("heard of another study's change")
	}
}
