package panel_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

// evenings are the studies of which evenings are made up: with names to read, over
// two sittings, and plain.
var evenings = map[string]string{
	"plain": custard,
	"names": strings.Replace(custard, "rinse: 30 s", "rinse: 30 s, expectation: true", 1),
	"two sittings": strings.NewReplacer("panel: {assessors: 4}", "panel: {assessors: 4, sittings: 2}",
		"rinse: 30 s", "rinse: 30 s, most per sitting: 1").Replace(custard),
}

// TestScreensAgree makes evenings up at random and compares, after every act, what
// board, kitchen and floor count. Whatever happens, every seat is in one state, and
// the states, the places and the plates add up.
func TestScreensAgree(t *testing.T) {
	for name, file := range evenings {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for seed := range uint64(6) {
				e := newMadeUp(t, file, seed)
				for act := range 50 {
					e.act()
					if e.check(); t.Failed() {
						t.Fatalf("seed %d, after act %d: %s", seed, act, strings.Join(e.done, ", "))
					}
				}
			}
		})
	}
}

// madeUp is an evening whose acts are drawn.
type madeUp struct {
	*night
	draw     *rand.Rand
	kitchens []panel.Session // by sitting
	floors   []panel.Session
	joins    []panel.JoinToken
	tokens   []panel.SeatToken
	done     []string
}

func newMadeUp(t *testing.T, file string, seed uint64) *madeUp {
	n := newNight(t, file)
	return &madeUp{night: n, draw: rand.New(rand.NewPCG(seed, 1)), kitchens: []panel.Session{n.kitchen},
		floors: []panel.Session{n.floor}, joins: []panel.JoinToken{n.sitting.Join}}
}

// act does one thing that somebody could do. What the service refuses at that
// moment changes nothing.
func (e *madeUp) act() {
	ctx, none := e.t.Context(), panel.PhoneAct{}
	floor := e.floors[e.draw.IntN(len(e.floors))]
	var seat panel.FloorSeat
	if seats := of[panel.Room](e.night)(e.svc.Room(ctx, floor)).Seats; len(seats) > 0 {
		seat = seats[e.draw.IntN(len(seats))]
	}
	serving := seat.Next.ID
	if serving == "" {
		serving = seat.Reads.ID
	}
	plate := panel.ServingID("none")
	if plates := seat.Next.Plates; len(plates) > 0 {
		plate = plates[e.draw.IntN(len(plates))].ID
	}
	token := ""
	if len(e.tokens) > 0 {
		token = string(e.tokens[e.draw.IntN(len(e.tokens))])
	}
	acts := []struct {
		weight int
		what   string
		do     func() error
	}{
		{6, "join", e.join}, {8, "start", func() error { return e.svc.Start(ctx, panel.SeatToken(token)) }},
		{20, "serve", func() error { return e.svc.Serve(ctx, floor, serving, none) }},
		{3, "take back", func() error { return e.svc.TakeBack(ctx, floor, serving, none) }},
		{25, "rate", func() error { return e.rate(panel.SeatToken(token)) }},
		{4, "refuse", func() error { return e.svc.Refuse(ctx, floor, serving, none) }},
		{3, "drop", func() error { return last(e.svc.Drop(ctx, floor, plate, none)) }},
		{2, "leave", func() error { return e.svc.Leave(ctx, floor, seat.ID, none) }},
		{2, "return", func() error { return e.svc.Return(ctx, floor, seat.ID, none) }},
		{1, "withdraw", func() error { return e.svc.Withdraw(ctx, panel.SeatToken(token)) }},
		{3, "end the rinse", func() error { return e.svc.CutRinse(ctx, floor, seat.ID, seat.Over, none) }},
		{2, "open a sitting", e.openAnother},
		{20, "wait", func() error { e.clock.pass(time.Duration(e.draw.IntN(60)) * time.Second); return nil }},
	}
	total := 0
	for _, a := range acts {
		total += a.weight
	}
	at := e.draw.IntN(total)
	for _, a := range acts {
		if at -= a.weight; at < 0 {
			_ = a.do() // refused: the evening goes on
			e.done = append(e.done, a.what)
			return
		}
	}
}

func (e *madeUp) join() error {
	join := e.joins[e.draw.IntN(len(e.joins))]
	token, err := e.svc.Consent(e.t.Context(), join, fmt.Sprint("guest ", len(e.done)), panel.PhoneConsent{})
	if err != nil {
		return err
	}
	before := len(e.tokens)
	e.tokens = slices.DeleteFunc(e.tokens, e.replaced)
	if before-len(e.tokens) > 1 {
		e.t.Errorf("one guest took the places of %d", before-len(e.tokens))
	}
	e.tokens = append(e.tokens, token)
	return nil
}

// replaced reports whether a guest went before any plate and somebody else has the
// place.
func (e *madeUp) replaced(token panel.SeatToken) bool {
	_, err := e.svc.Ballot(e.t.Context(), token)
	return errors.Is(err, panel.ErrNotFound)
}

func (e *madeUp) rate(token panel.SeatToken) error {
	b, err := e.svc.Ballot(e.t.Context(), token)
	if err != nil || b.Turn.ID == "" {
		return err
	}
	sub := panel.Submission{ID: "rate " + string(b.Turn.ID), TurnID: b.Turn.ID,
		Given: map[string]string{"a1": "50", "a2": "5"}}
	return last(e.svc.Submit(e.t.Context(), token, sub))
}

func (e *madeUp) openAnother() error {
	if len(e.joins) == 2 || e.svc == nil {
		return nil
	}
	stored := of[panel.Study](e.night)(e.svc.Study(e.t.Context(), e.study))
	if stored.Spec.Panel.Sittings < 2 {
		return nil
	}
	sitting, kitchen, floor := e.open()
	e.kitchens, e.floors, e.joins = append(e.kitchens, kitchen), append(e.floors, floor), append(e.joins, sitting.Join)
	return nil
}

// check compares the screens.
func (e *madeUp) check() {
	ctx := e.t.Context()
	live := of[panel.Live](e.night)(e.svc.Live(ctx, e.lead, e.study))
	e.addsUp("all sittings", live.All)
	twice := live.All.Joined() + live.All.Free - live.All.Places // went before any plate, and the place is free
	if live.All.Joined() > len(e.tokens) || twice < 0 || twice > live.All.Left+live.All.Withdrawn {
		e.t.Errorf("all sittings: %+v, want up to %d joined, and with the free ones every place", live.All,
			len(e.tokens))
	}
	for i, one := range live.Sittings {
		e.addsUp(fmt.Sprint("sitting ", i+1), one.Tally)
		if i == 0 && len(live.Sittings) == 1 && one.Tally != live.All && live.All.Expected == one.Expected {
			e.t.Errorf("the one sitting %+v, all of it %+v", one.Tally, live.All)
		}
		room := of[panel.Room](e.night)(e.svc.Room(ctx, e.floors[i]))
		sheet := of[panel.KitchenSheet](e.night)(e.svc.KitchenSheet(ctx, e.kitchens[i]))
		if room.Counts != one.Tally || sheet.Counts != one.Tally || sheet.Pace != one.Pace {
			e.t.Errorf("sitting %d: board %+v, floor %+v, kitchen %+v", i+1, one.Tally, room.Counts, sheet.Counts)
		}
		if w := of[panel.Welcome](e.night)(e.svc.Welcome(ctx, e.joins[i])); w.Full != (one.Free == 0) {
			e.t.Errorf("sitting %d: %d places are free, the guest reads full: %v", i+1, one.Free, w.Full)
		}
		e.plates(sheet, room)
	}
}

// addsUp holds a tally against itself.
func (e *madeUp) addsUp(what string, l panel.Tally) {
	if l.Joined() > l.Places || l.Free < 0 || l.Free > l.Places || l.Rated > l.Expected {
		e.t.Errorf("%s do not add up: %+v", what, l)
	}
}

// plates holds what the kitchen plates against what the floor carries.
func (e *madeUp) plates(sheet panel.KitchenSheet, room panel.Room) {
	states := map[panel.PlateState]map[panel.PlateCodes]bool{}
	for _, w := range sheet.Waves {
		all := 0
		for _, c := range w.Counts {
			if c.AtPass+c.Now+c.Next+c.Later+c.NoGuest+c.Served+c.Eaten+c.NotGone != c.All {
				e.t.Errorf("wave %d: %+v does not add up", w.Number, c)
			}
			all += c.All
		}
		if all != len(w.Plates) || all != sheet.Counts.Places {
			e.t.Errorf("wave %d: %d plates listed, %d counted, %d places", w.Number, len(w.Plates), all,
				sheet.Counts.Places)
		}
		for _, p := range w.Plates {
			if states[p.State] == nil {
				states[p.State] = map[panel.PlateCodes]bool{}
			}
			states[p.State][panel.PlateCodes(p.Code)] = true
		}
	}
	counts := map[panel.SeatState]int{}
	for _, s := range room.Seats {
		counts[s.State]++
		if s.State == panel.SeatWaiting && !states[panel.PlateNow][s.Next.Code] {
			e.t.Errorf("seat %d waits for %s, which the kitchen does not plate now", s.Label, s.Next.Code)
		}
		if s.State == panel.SeatTasting && !states[panel.PlateServed][s.Next.Code] {
			e.t.Errorf("seat %d tastes %s, which is not out of the kitchen", s.Label, s.Next.Code)
		}
	}
	if got := len(states[panel.PlateNow]); got != room.Counts.Waiting || counts[panel.SeatWaiting] != got {
		e.t.Errorf("%d plates are due now, %d seats wait: %+v", got, counts[panel.SeatWaiting], room.Counts)
	}
	busy := room.Counts.Starting + room.Counts.Reading + room.Counts.Rinsing + room.Counts.Tasting
	if next := len(states[panel.PlateNext]); next > busy || next < busy-room.Counts.Tasting {
		e.t.Errorf("%d plates come next, for %d guests who are busy", next, busy)
	}
}
