package panel_test

import (
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

// spread gives each assessor two samples at a first and one at a second sitting.
var spread = strings.NewReplacer("panel: {assessors: 6}", "panel: {assessors: 6, sittings: 2}",
	"serving: {rinse: 30 s", "serving: {most per sitting: 2, rinse: 30 s").Replace(three)

func TestOneLinkForSeveralSittings(t *testing.T) {
	n := newNight(t, spread)
	ctx := t.Context()
	token := n.guest("one")
	first := ballot(t, n.svc, token)
	atFirst := first.Of
	for range atFirst {
		n.taste(token)
		n.clock.pass(time.Minute)
	}
	if b := ballot(t, n.svc, token); b.Stage != panel.StageLater {
		t.Fatalf("after the first sitting: stage %d, want to come back later", b.Stage)
	}
	if s := n.seat(1); s.State != panel.SeatFinished || s.Over != atFirst {
		t.Errorf("on the floor: %+v, want done here", s)
	}
	ahead := of[panel.Held](n)(n.svc.Ahead(ctx, token)).Ahead
	if len(ahead) != 0 {
		t.Errorf("%d servings of a sitting that is not open are on the phone", len(ahead))
	}

	n.clock.pass(24 * time.Hour)
	second, _, floor := n.open()
	if !n.svc.SeatedAt(ctx, token, second.Join) {
		t.Error("the join link of the second sitting does not know the assessor")
	}
	b := ballot(t, n.svc, token)
	if b.Stage != panel.StageServing || b.Turn.Number != 1 || atFirst+b.Of != 3 {
		t.Fatalf("at the second sitting: %+v, want its first serving at once", b)
	}
	room := of[panel.Room](n)(n.svc.Room(ctx, floor))
	if room.Sitting != 2 || len(room.Seats) != 1 || !room.Seats[0].Returns || room.Seats[0].Next.ID != b.Turn.ID {
		t.Errorf("the second room: %+v, want the guest who came back", room)
	}
	n.must(n.svc.Serve(ctx, floor, b.Turn.ID, panel.PhoneAct{}))
	n.wantError("serve from the first room", n.svc.Serve(ctx, n.floor, b.Turn.ID, panel.PhoneAct{}), panel.ErrNotFound)
	for range b.Of {
		n.taste(token)
		n.clock.pass(time.Minute)
	}
	if b := ballot(t, n.svc, token); b.Stage != panel.StageDone {
		t.Errorf("at the end: stage %d", b.Stage)
	}
	live := of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study))
	if live.All.Finished != 1 || live.All.Rated != 3 || live.All.Expected != 3 {
		t.Errorf("over all sittings %+v", live.All)
	}
	if len(live.Sittings) != 2 || live.Sittings[0].Rated != atFirst || live.Sittings[1].Rated != 3-atFirst ||
		live.Sittings[1].Finished != 1 {
		t.Errorf("board %+v", live)
	}
	if mine := of[panel.Live](n)(n.svc.Live(ctx, floor, n.study)); len(mine.Sittings) != 1 ||
		mine.Sittings[0].Number != 2 {
		t.Errorf("the floor's board %+v, want its own sitting", mine)
	}
	if got := len(strings.Fields(salts(n.closed().Answers))); got != 3 {
		t.Errorf("%d ratings, want those of both sittings", got)
	}
}

// TestWhoJoinsAtTheSecondSittingMissedTheFirst: nothing of the first is served.
func TestWhoJoinsAtTheSecondSittingMissedTheFirst(t *testing.T) {
	n := newNight(t, spread)
	second, _, _ := n.open()
	token := consent(t, n.svc, second.Join, "late")
	n.must(n.svc.Start(t.Context(), token))
	b := ballot(t, n.svc, token)
	if b.Stage != panel.StageServing || b.Of >= 3 {
		t.Fatalf("ballot %+v, want the servings of the second sitting alone", b)
	}
	for range b.Of {
		n.taste(token)
		n.clock.pass(time.Minute)
	}
	if b := ballot(t, n.svc, token); b.Stage != panel.StageDone {
		t.Errorf("stage %d, want done", b.Stage)
	}
	if s := n.room(); len(s.Seats) != 0 {
		t.Errorf("the first room seats %+v", s.Seats)
	}
}

// TestTwoRoomsAtOnce gives each sitting its own places, links and staff.
func TestTwoRoomsAtOnce(t *testing.T) {
	n := newNight(t, strings.Replace(custard, "panel: {assessors: 4}", "panel: {assessors: 4, sittings: 2, seats: 2}",
		1))
	second, kitchen, floor := n.open()
	if second.Join == n.sitting.Join || second.Number != 2 {
		t.Fatalf("second sitting %+v", second)
	}
	n.guest("one")
	other := consent(t, n.svc, second.Join, "two")
	n.must(n.svc.Start(t.Context(), other))
	here, there := n.room(), of[panel.Room](n)(n.svc.Room(t.Context(), floor))
	if len(here.Seats) != 1 || len(there.Seats) != 1 || here.Seats[0].ID == there.Seats[0].ID ||
		here.Counts.Free != 1 || there.Counts.Free != 1 {
		t.Errorf("rooms %+v and %+v, want one guest and one free place in each", here, there)
	}
	n.wantError("a seat of the other room", n.svc.Leave(t.Context(), floor, here.Seats[0].ID, panel.PhoneAct{}),
		panel.ErrNotFound)
	sheet := of[panel.KitchenSheet](n)(n.svc.KitchenSheet(t.Context(), kitchen))
	if sheet.Sitting != 2 || len(sheet.Waves[0].Plates) != 2 {
		t.Errorf("the second kitchen plates %+v, want its two places", sheet)
	}
}

// TestAWarmUpIsNotAnalysed: it is rated like any other serving.
func TestAWarmUpIsNotAnalysed(t *testing.T) {
	n := newNight(t, strings.Replace(custard, "seed: 7}", "seed: 7, warm-up: canaryA}", 1))
	token := n.guest("one")
	for range 3 {
		n.taste(token)
		n.clock.pass(time.Minute)
	}
	c := n.closed()
	_, ratings, err := n.svc.Ratings(t.Context(), n.study)
	if err != nil || len(ratings) != 4 || len(c.Answers) != 6 {
		t.Errorf("%d ratings of %d go into the analysis, %v; want 4 of 6", len(ratings), len(c.Answers), err)
	}
	for _, r := range ratings {
		if r.Position == 0 {
			t.Errorf("the warm-up is analysed: %+v", r)
		}
	}
}
