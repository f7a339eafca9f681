package panel_test

import (
	"errors"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

// inState are the codes of the kitchen's plates in a state, rising.
func (n *night) inState(state panel.PlateState) (codes []string) {
	n.t.Helper()
	sheet := of[panel.KitchenSheet](n)(n.svc.KitchenSheet(n.t.Context(), n.kitchen))
	for _, w := range sheet.Waves {
		for _, p := range w.Plates {
			if p.State == state {
				codes = append(codes, string(p.Code))
			}
		}
	}
	slices.Sort(codes)
	return codes
}

// TestPlateAtThePass: it is no longer to be plated, floor sees for how long it waits, and a
// plate that is dropped or taken back is to be plated again.
func TestPlateAtThePass(t *testing.T) {
	n, ctx := newNight(t, custard), t.Context()
	code := string(ballot(t, n.svc, n.guest("a")).Turn.Code)
	n.must(n.svc.AtPass(ctx, n.kitchen, panel.Code(code), true, panel.PhoneAct{}))
	n.clock.pass(4 * time.Minute)
	// A double tap: the first moment counts.
	n.must(n.svc.AtPass(ctx, n.kitchen, panel.Code(code), true, panel.PhoneAct{}))
	if got := n.inState(panel.PlateAtPass); !slices.Equal(got, []string{code}) ||
		len(n.inState(panel.PlateNow)) > 0 {
		t.Errorf("at the pass: %v; to plate: %v", got, n.inState(panel.PlateNow))
	}
	if got := n.seat(1).Passes; got != 4*time.Minute {
		t.Errorf("floor reads that it waits %s", got)
	}
	n.must(n.svc.AtPass(ctx, n.kitchen, panel.Code(code), false, panel.PhoneAct{}))
	if got := n.inState(panel.PlateNow); !slices.Equal(got, []string{code}) || n.seat(1).Passes != 0 {
		t.Errorf("taken back, to plate: %v", got)
	}
	n.must(n.svc.AtPass(ctx, n.kitchen, panel.Code(code), true, panel.PhoneAct{}))
	fresh := of[panel.FloorPlate](n)(n.svc.Drop(ctx, n.floor, n.seat(1).Next.Plates[0].ID, panel.PhoneAct{}))
	if got := n.inState(panel.PlateNow); !slices.Equal(got, []string{string(fresh.Code)}) {
		t.Errorf("dropped, to plate: %v, want %s", got, fresh.Code)
	}
	n.must(n.svc.AtPass(ctx, n.kitchen, fresh.Code, true, panel.PhoneAct{}))
	n.must(n.svc.Serve(ctx, n.floor, n.seat(1).Next.ID, panel.PhoneAct{}))
	n.wantError("one that is out", n.svc.AtPass(ctx, n.kitchen, fresh.Code, true, panel.PhoneAct{}),
		panel.ErrOverAlready)
	n.wantError("one that there is not", n.svc.AtPass(ctx, n.kitchen, "000", true, panel.PhoneAct{}), panel.ErrNotFound)
	n.wantLogged("kitchen 1: at the pass: codes " + code)
}

// TestTwoWaitersDoNotCarryTheSamePlate: who types a code has the plate for a while, and
// another reads who.
func TestTwoWaitersDoNotCarryTheSamePlate(t *testing.T) {
	n, ctx := newNight(t, custard), t.Context()
	code := panel.Code(ballot(t, n.svc, n.guest("a")).Turn.Code)
	other := n.floor
	other.Label = "2"
	typed := func(by panel.Session) string {
		t.Helper()
		return of[panel.PlateInHand](n)(n.svc.PlateInHand(ctx, by, code)).With
	}
	seen := func(by panel.Session) string { return of[panel.Room](n)(n.svc.Room(ctx, by)).Seats[0].With }
	for range 2 { // typed again, it is still one's own
		if typed(n.floor) != "" || seen(n.floor) != "" {
			t.Error("somebody has the plate before anybody else typed it")
		}
	}
	if got := typed(other); got != "floor 1" || seen(other) != "floor 1" {
		t.Errorf("the other reads %q and %q", got, seen(other))
	}
	n.clock.pass(panel.ClaimLasts)
	if seen(other) != "" || typed(other) != "" || seen(n.floor) != "floor 2" {
		t.Error("a claim does not end")
	}
	n.must(n.svc.Serve(ctx, n.floor, n.seat(1).Next.ID, panel.PhoneAct{}))
	if seen(n.floor) != "" {
		t.Error("what is on the table is still in somebody's hand")
	}
}

// TestKitchenPlatesWhatIsDue: at each of 200 moments of an evening in which guests come,
// taste, refuse, leave and come back, plates fall and stand at the pass, the kitchen is told
// to plate what the floor's guests wait for, and nothing else.
func TestKitchenPlatesWhatIsDue(t *testing.T) {
	file := strings.NewReplacer("{assessors: 4}", "{assessors: 24}", "seed: 7", "seed: 7, spare codes: 60").
		Replace(custard)
	n := newNight(t, file)
	draw := rand.New(rand.NewPCG(7, 24))
	var tokens []panel.SeatToken
	var waited, passed int
	for moment := range 200 {
		if len(tokens) < 24 && draw.IntN(4) == 0 {
			tokens = append(tokens, n.guest("guest "+string(rune('a'+len(tokens)))))
		}
		if len(tokens) > 0 {
			n.anything(draw, tokens[draw.IntN(len(tokens))])
		}
		n.clock.pass(time.Duration(draw.IntN(40)) * time.Second)
		var due, out []string
		for _, x := range n.room().Seats {
			switch {
			case x.State != panel.SeatWaiting:
			case x.Passes > 0:
				out = append(out, string(x.Next.Code))
			default:
				due = append(due, string(x.Next.Code))
			}
		}
		slices.Sort(due)
		waited, passed = waited+len(due), passed+len(out)
		if told := n.inState(panel.PlateNow); !slices.Equal(told, due) {
			t.Fatalf("moment %d: told to plate %v, due are %v", moment, told, due)
		}
		for _, code := range out {
			if !slices.Contains(n.inState(panel.PlateAtPass), code) {
				t.Fatalf("moment %d: %s waits at the pass, and the kitchen does not know", moment, code)
			}
		}
	}
	if waited < 200 || passed < 20 {
		t.Errorf("a dull evening: %d plates waited for, %d at the pass", waited, passed)
	}
}

// anything happens to a guest.
func (n *night) anything(draw *rand.Rand, token panel.SeatToken) {
	n.t.Helper()
	ctx := n.t.Context()
	b, err := n.svc.Ballot(ctx, token)
	var freed *panel.FreedError
	if errors.As(err, &freed) {
		return // left before any plate, and somebody else came
	}
	n.must(err)
	seat, next := n.seat(b.Label), n.seat(b.Label).Next
	if seat.State == panel.SeatLeft {
		n.must(n.svc.Return(ctx, n.floor, seat.ID, panel.PhoneAct{}))
		return
	}
	if next.ID == "" {
		return
	}
	switch draw.IntN(9) {
	case 0:
		n.must(n.svc.Leave(ctx, n.floor, seat.ID, panel.PhoneAct{}))
	case 1:
		n.must(n.svc.Refuse(ctx, n.floor, next.ID, panel.PhoneAct{}))
	case 2:
		_, err := n.svc.Drop(ctx, n.floor, next.Plates[0].ID, panel.PhoneAct{})
		n.must(err)
	case 3, 4:
		if !next.Served {
			n.must(n.svc.AtPass(ctx, n.kitchen, next.Plates[0].Code, draw.IntN(5) > 0, panel.PhoneAct{}))
		}
	case 5, 6:
		n.must(n.svc.Serve(ctx, n.floor, next.ID, panel.PhoneAct{}))
	default:
		n.taste(token)
	}
}
