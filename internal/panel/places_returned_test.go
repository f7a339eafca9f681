package panel_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"cloche/internal/design"
	"cloche/internal/panel"
)

func replaced(file, old, fresh string) string { return strings.Replace(file, old, fresh, 1) }

// TestUnusedPlacesReturn: a phone that took a place, tasted nothing and fell silent gives it
// back; one that was heard from, a guest without a phone and whoever tasted keep theirs.
func TestUnusedPlacesReturn(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	silent, heard, tasted := n.guest("silent"), n.guest("heard"), n.guest("tasted")
	n.taste(tasted)
	of[panel.FloorSeat](n)(n.svc.SeatGuest(ctx, n.floor, "no phone",
		panel.GuestConsent{AllergensRead: true, ConsentRead: true}))
	n.clock.pass(panel.SilentAfter - time.Second)
	ballot(t, n.svc, heard)
	if got := n.room().Unused; got != 0 {
		t.Fatalf("%d places are unused a second too early", got)
	}
	n.clock.pass(time.Second)
	if got := n.room().Unused; got != 1 {
		t.Errorf("%d places are unused, want 1", got)
	}
	if got := of[int](n)(n.svc.ReturnUnused(ctx, n.floor)); got != 1 {
		t.Errorf("%d places were returned, want 1", got)
	}
	n.wantLogged("floor 1: place freed: assessor 1, never tasted")
	var freed *panel.FreedError
	if _, err := n.svc.Ballot(ctx, silent); !errors.As(err, &freed) {
		t.Errorf("who comes back reads %v", err)
	}
	if label := ballot(t, n.svc, n.guest("next")).Label; label != 1 {
		t.Errorf("the next guest has number %d, want 1", label)
	}
}

// order is in which order each place of a plan gets its samples.
func order(plan *design.Plan) map[int]string {
	orders := map[int]string{}
	for _, v := range plan.Servings {
		orders[int(v.Assessor)] += fmt.Sprint(v.Sample, " ")
	}
	return orders
}

// apartAt is the largest difference, over positions, between how often two samples stand there.
func apartAt(orders map[int]string, taken map[int]bool) (worst int) {
	at := [2]map[string]int{{}, {}}
	for place := range taken {
		for i, sample := range strings.Fields(orders[place]) {
			at[i][sample]++
		}
	}
	for _, counts := range at {
		worst = max(worst, counts["0"]-counts["1"], counts["1"]-counts["0"])
	}
	return worst
}

// TestBalanceIsKeptWhoeverComes: guests arrive at random tables, some fall silent and their
// places return. However tables are seated, everybody has a place of the plan of their own; with
// different orders neighbours differ as far as places last, with the same order they do not; at
// no moment are samples further apart at a position than tables make them; and with the house
// full the plan's own balance stands.
func TestBalanceIsKeptWhoeverComes(t *testing.T) {
	const places, tables = 16, 4
	for _, rule := range []string{"different orders", "same order"} {
		for seed := range uint64(3) {
			t.Run(fmt.Sprintf("%s, seed %d", rule, seed), func(t *testing.T) {
				draw := rand.New(rand.NewPCG(seed, 14))
				n := newNight(t, replaced(replaced(custard, "assessors: 4", fmt.Sprint("assessors: ", places)),
					"seed: 7", "at one table: "+rule+", seed: 7"))
				stored := of[panel.Study](n)(n.svc.Study(t.Context(), n.study))
				orders := order(of[*design.Plan](n)(stored.FixedPlan()))
				taken, table := map[int]bool{}, map[int]int{}
				for came := 0; len(taken) < places; came++ {
					at := 1 + draw.IntN(tables)
					token := of[panel.SeatToken](n)(n.svc.Consent(t.Context(), n.sitting.Join,
						fmt.Sprint("guest", came), panel.PhoneConsent{Table: at}))
					n.must(n.svc.Start(t.Context(), token))
					place := ballot(t, n.svc, token).Label - 1
					if taken[place] {
						t.Fatalf("place %d was given twice", place)
					}
					n.neighbours(rule, orders, taken, table, place, at)
					taken[place], table[place] = true, at
					if worst := apartAt(orders, taken); rule == "different orders" && worst > tables {
						t.Errorf("after %d guests the samples differ by %d at a position, want at most %d", came+1,
							worst, tables)
					}
					if came < places && draw.IntN(4) == 0 { // falls silent
						n.must(n.svc.FreeSeat(t.Context(), n.floor, n.seat(place+1).ID))
						delete(taken, place)
						delete(table, place)
						continue
					}
					n.taste(token)
				}
				if worst := apartAt(orders, taken); worst != 0 {
					t.Errorf("with every place taken the samples differ by %d at a position", worst)
				}
			})
		}
	}
}

// neighbours checks the place that a guest was given at a table.
func (n *night) neighbours(rule string, orders map[int]string, taken map[int]bool, table map[int]int, place, at int) {
	n.t.Helper()
	there, free := map[string]int{}, map[string]bool{}
	for other := range orders {
		if taken[other] && table[other] == at {
			there[orders[other]]++
		}
		if !taken[other] {
			free[orders[other]] = true
		}
	}
	for other := range free {
		switch got, could := there[orders[place]], there[other]; {
		case rule == "different orders" && could < got:
			n.t.Errorf("table %d: a guest got an order that %d there have, and %d have another", at, got, could)
		case rule == "same order" && could > got:
			n.t.Errorf("table %d: a guest got an order that %d there have, and %d have another", at, got, could)
		}
	}
}
