package panel_test

import (
	"fmt"
	"testing"

	"cloche/internal/panel"
)

// TestTheBoardCountsWhoCameByStratum: every seat is counted in one stratum, as finished, gone
// or neither; a place that was freed counts for whoever has it now. Kitchen and floor are
// told nothing of it.
func TestTheBoardCountsWhoCameByStratum(t *testing.T) {
	n, ctx := newNight(t, grouped), t.Context()
	var tokens []panel.SeatToken
	for i := range 9 {
		tokens = append(tokens, n.arrive(fmt.Sprintf("guest %d", i), group(i%3/2+1, 1))) // 6 first visits, 3 others
	}
	n.taste(tokens[0])
	n.taste(tokens[2])
	n.must(n.svc.Withdraw(ctx, tokens[1]))
	n.must(n.svc.FreeSeat(ctx, n.floor, n.seat(4).ID))
	n.must(n.svc.Leave(ctx, n.floor, n.seat(6).ID, panel.PhoneAct{}))
	live := of[panel.Live](n)(n.svc.Live(ctx, byLead, n.study))
	want := []panel.LiveStratum{
		{Levels: "first, hall", Came: 5, Finished: 1, Gone: 1},
		{Levels: "first, bar"},
		{Levels: "not the first, hall", Came: 3, Finished: 1, Gone: 1},
		{Levels: "not the first, bar"},
	}
	if fmt.Sprint(live.Strata) != fmt.Sprint(want) {
		t.Errorf("strata %+v, want %+v", live.Strata, want)
	}
	came := 0
	for _, x := range live.Strata {
		came += x.Came
	}
	if came != live.All.Joined() {
		t.Errorf("%d came, by stratum; %d joined", came, live.All.Joined())
	}
	link := of[panel.TelevisionToken](n)(n.svc.TelevisionLink(byLead, n.study))
	if got := of[panel.Live](n)(n.svc.Television(ctx, n.study, link)); got.Strata != nil || got.All != live.All {
		t.Errorf("the screen in the room is told %+v", got)
	}
	for _, by := range []panel.Session{n.floor, n.kitchen} {
		if got := of[panel.Live](n)(n.svc.Live(ctx, by, n.study)); got.Strata != nil {
			t.Errorf("%s is told of strata: %+v", by.Role, got.Strata)
		}
	}
	plain := newNight(t, custard)
	if got := of[panel.Live](plain)(plain.svc.Live(ctx, byLead, plain.study)); got.Strata != nil {
		t.Errorf("a study that deals nothing has strata: %+v", got.Strata)
	}
}
