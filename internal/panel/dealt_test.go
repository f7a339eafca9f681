package panel_test

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"

	"cloche/internal/design"
	"cloche/internal/panel"
)

// grouped gives one name to each, dealt within first visits, of which guests are asked, and
// rooms, which the staff know.
var grouped = strings.NewReplacer("{assessors: 4}", "{assessors: 60}", "{rinse: 30 s, plate gate: false, seed: 7}",
	`{seed: 7, design: one, plate gate: false,
  strata: [{id: visit, ask: Is this your first visit?, levels: [first, "not the first"]},
  {id: room, levels: [hall, bar]}]}`, "paired-t", "welch-t").Replace(custard)

// group answers what decides the stratum: levels from 1.
func group(visit, room int) map[string]int { return map[string]int{"g1": visit, "g2": room} }

// arrive seats somebody with a phone, who has read the instructions.
func (n *night) arrive(nonce string, levels map[string]int) (token panel.SeatToken) {
	n.t.Helper()
	token = of[panel.SeatToken](n)(n.svc.Consent(n.t.Context(), n.sitting.Join, nonce,
		panel.PhoneConsent{Levels: levels}))
	n.must(n.svc.Start(n.t.Context(), token))
	return token
}

// name is what the phone of a guest calls the plate in front of them.
func (n *night) name(token panel.SeatToken) string { return ballot(n.t, n.svc, token).Turn.Name }

// dealt closes the study and returns what was dealt, dealt again from the seed.
func (n *night) dealt() (*design.Plan, []panel.Dealt) {
	n.t.Helper()
	n.must(n.svc.Close(n.t.Context(), byLead, n.study))
	stored, got, err := n.svc.Collected(n.t.Context(), n.study)
	n.must(err)
	return of[*design.Plan](n)(n.svc.DealtPlan(n.t.Context(), stored)), got.Dealt
}

// What guests get on phones and through the floor is what the seed deals to them in the
// order in which they came.
func TestSamplesAreDealtInTheOrderOfArrival(t *testing.T) {
	for _, minimise := range []bool{false, true} {
		t.Run(fmt.Sprintf("minimise %t", minimise), func(t *testing.T) {
			file := grouped
			if minimise {
				file = strings.Replace(file, "design: one", "design: one, minimise: true", 1)
			}
			n, ctx := newNight(t, file), t.Context()
			stored := of[panel.Study](n)(n.svc.Study(ctx, n.study))
			arrivals, err := design.NewArrivals(stored.Spec, 7, stored.Lock.Engine)
			n.must(err)
			for i := range 24 {
				visit, room := i%3/2+1, i%5/3+1
				stratum, err := arrivals.Stratum([]int{visit - 1, room - 1})
				n.must(err)
				sample, err := arrivals.Next(stratum)
				n.must(err)
				nonce, got := fmt.Sprintf("guest %d", i), ""
				if i%4 == 3 {
					read := panel.GuestConsent{AllergensRead: true, ConsentRead: true, Levels: group(visit, room)}
					got = of[panel.FloorSeat](n)(n.svc.SeatGuest(ctx, n.floor, nonce, read)).Next.Plates[0].Name
				} else {
					got = n.name(n.arrive(nonce, group(visit, room)))
				}
				if want := stored.Spec.NameText(sample); got != want {
					t.Errorf("arrival %d is served %q, the seed deals %q", i+1, got, want)
				}
			}
			plan, dealt := n.dealt()
			if len(dealt) != 24 || plan.Hash() == stored.Lock.PlanHash {
				t.Errorf("%d were dealt, and the plan with them has the hash of the one without", len(dealt))
			}
			balance, err := plan.CountBalance(stored.Spec)
			n.must(err)
			if served := balance.Served[0] + balance.Served[1]; served != 24 || balance.Assessors != 24 ||
				len(balance.Strata) != 4 {
				t.Errorf("the balance counts %d servings to %d in %d strata", served, balance.Assessors,
					len(balance.Strata))
			}
		})
	}
}

// Nobody is seated before it is known to which group they belong, and the log says who was
// dealt something, and when, and never what.
func TestGroupComesBeforeThePlace(t *testing.T) {
	n, ctx := newNight(t, grouped), t.Context()
	w, err := n.svc.Welcome(ctx, n.sitting.Join)
	n.must(err)
	if len(w.Strata) != 2 || w.Strata[0].Text != "Is this your first visit?" || w.Strata[0].Staff ||
		w.Strata[1].Text != "room" || !w.Strata[1].Staff {
		t.Errorf("a newcomer is asked %+v", w.Strata)
	}
	for _, levels := range []map[string]int{nil, {"g1": 1}, group(3, 1), group(0, 1)} {
		_, err := n.svc.Consent(ctx, n.sitting.Join, "half", panel.PhoneConsent{Levels: levels})
		n.wantError(fmt.Sprint("consent with ", levels), err, panel.ErrStratum)
		read := panel.GuestConsent{AllergensRead: true, ConsentRead: true, Levels: levels}
		_, err = n.svc.SeatGuest(ctx, n.floor, "half", read)
		n.wantError(fmt.Sprint("a guest with ", levels), err, panel.ErrNotRead)
	}
	n.arrive("one", group(2, 1))
	n.arrive("one", group(1, 2)) // sent again: the first answers stand
	n.arrive("two", group(1, 2))
	var said []string
	for _, e := range of[panel.CheckedLog](n)(n.svc.Log(ctx, n.lead, n.study)).Entries {
		if e.What == "dealt" {
			said = append(said, e.Who+": "+e.Detail)
		}
	}
	want := []string{"assessor 1: arrival 1: not the first, hall", "assessor 2: arrival 2: first, bar"}
	if !slices.Equal(said, want) {
		t.Errorf("the log says %q, want %q", said, want)
	}
}

// A place that is freed before any plate goes to the next of its stratum, with what it was
// dealt: the plate may stand ready under its code. Where no other place is left, another
// stratum is full.
func TestAFreedPlaceGoesBackToItsStratum(t *testing.T) {
	n, ctx := newNight(t, strings.Replace(grouped, "assessors: 60", "assessors: 4", 1)), t.Context()
	for i, visit := range []int{1, 2, 1} {
		n.arrive(fmt.Sprint("guest ", i), group(visit, 1))
	}
	first := n.seat(1)
	n.must(n.svc.FreeSeat(ctx, n.floor, first.ID))
	other := n.arrive("another stratum", group(2, 1))
	if b := ballot(t, n.svc, other); b.Label != 4 {
		t.Errorf("somebody of another stratum gets place %d, want the one that was not dealt", b.Label)
	}
	w, err := n.svc.Welcome(ctx, n.sitting.Join)
	n.must(err)
	if w.Full {
		t.Error("the sitting is full while a place is free")
	}
	_, err = n.svc.Consent(ctx, n.sitting.Join, "full", panel.PhoneConsent{Levels: group(2, 1)})
	n.wantError("no place is left for the stratum", err, panel.ErrGroupFull)
	again := ballot(t, n.svc, n.arrive("the same stratum", group(1, 1)))
	if plate := first.Next.Plates[0]; again.Label != 1 || again.Turn.Name != plate.Name ||
		again.Turn.Code != panel.PlateCodes(plate.Code) {
		t.Errorf("the next of the stratum gets place %d with %q under %s, want what was dealt: %+v", again.Label,
			again.Turn.Name, again.Turn.Code, plate)
	}
	_, err = n.svc.Consent(ctx, n.sitting.Join, "no more", panel.PhoneConsent{Levels: group(1, 1)})
	n.wantError("every place is taken", err, panel.ErrFull)
	if isError(err, panel.ErrGroupFull) {
		t.Error("every place is taken, and some are said to be for other groups")
	}
	log := fmt.Sprint(of[panel.CheckedLog](n)(n.svc.Log(ctx, n.lead, n.study)).Entries)
	if !strings.Contains(log, "arrival 1: first, hall; the place was freed before") {
		t.Error("the log does not say that a place was dealt before: ", log)
	}
	if _, dealt := n.dealt(); len(dealt) != 4 {
		t.Errorf("%d were dealt, want one for each place", len(dealt))
	}
}

// TestEightyAreDealtAtOnce lets 80 people join 60 places at one moment.
func TestEightyAreDealtAtOnce(t *testing.T) {
	n, ctx := newNight(t, grouped), t.Context()
	var all sync.WaitGroup
	full := make(chan bool, 80)
	for i := range 80 {
		all.Go(func() {
			_, err := n.svc.Consent(ctx, n.sitting.Join, fmt.Sprint("guest ", i),
				panel.PhoneConsent{Levels: group(i%2+1, i/2%2+1)})
			if err != nil && !isError(err, panel.ErrFull) {
				t.Error(err)
			}
			full <- err != nil
		})
	}
	all.Wait()
	close(full)
	refused := 0
	for was := range full {
		if was {
			refused++
		}
	}
	plan, dealt := n.dealt()
	if refused != 20 || len(dealt) != 60 {
		t.Errorf("%d were refused and %d dealt, want 20 and 60", refused, len(dealt))
	}
	stored := of[panel.Study](n)(n.svc.Study(ctx, n.study))
	balance, err := plan.CountBalance(stored.Spec)
	n.must(err)
	for _, x := range balance.Strata {
		if d := x.Served[0] - x.Served[1]; d > 3 || d < -3 {
			t.Errorf("%v were served %v: further apart than a block", x.Levels, x.Served)
		}
	}
}

// Before the study closes no role sees what was dealt, beyond the name of the plate at hand;
// the kitchen sees the dish of plates whose guest has arrived, and no other code.
func TestNoViewHoldsWhatIsDealt(t *testing.T) {
	n, ctx := newNight(t, twoDishes), t.Context()
	hidden := []string{"CANARY-TITLE", "CANARY-HYPOTHESIS", "canaryA", "canaryB"}
	floor := forbidden{n, append([]string{"CANARY-DISH", "canarydish", "CANARY-SOUP", nameA, nameB}, hidden...)}
	kitchen := forbidden{n, append([]string{nameA, nameB}, hidden...)}
	lead := forbidden{n, []string{"CANARY-DISH", "canarydish", "CANARY-SOUP", "canaryA", "canaryB", nameA, nameB}}
	for i := range 6 {
		n.arrive(fmt.Sprint("guest ", i), group(i%2+1, 1))
		token := n.arrive(fmt.Sprint("guest again ", i), group(1, 2))
		b := ballot(t, n.svc, token)
		floor.in("ballot", b, b.Turn.Name)
		floor.in("sealed", of[panel.Held](n)(n.svc.Ahead(ctx, token)).Ahead)
	}
	w, err := n.svc.Welcome(ctx, n.sitting.Join)
	n.must(err)
	floor.in("welcome", w)
	floor.in("texts", of[panel.GuestTexts](n)(n.svc.ConsentText(ctx, n.floor)))
	for _, seat := range n.room().Seats {
		floor.in("seat", seat, seat.Next.Plates[0].Name)
	}
	lead.in("board", of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study)))
	lead.in("log", of[panel.CheckedLog](n)(n.svc.Log(ctx, n.lead, n.study)).Entries)
	sheet := of[panel.KitchenSheet](n)(n.svc.KitchenSheet(ctx, n.kitchen))
	kitchen.in("sheet", sheet)
	portions := 0
	for _, d := range sheet.Dishes {
		portions += d.Portions
	}
	if len(sheet.Waves[0].Plates) != 12 || portions != 12 || sheet.Undealt != 48 {
		t.Errorf("the kitchen plates %d, cooks %d and %d are open; want 12, 12 and 48", len(sheet.Waves[0].Plates),
			portions, sheet.Undealt)
	}
	stored := of[panel.Study](n)(n.svc.Study(ctx, n.study))
	if _, err := n.svc.DealtPlan(ctx, stored); !isError(err, panel.ErrWrongState) {
		t.Errorf("what was dealt is told before the close: %v", err)
	}
}

// twoDishes deals dishes too.
var twoDishes = strings.NewReplacer("id: canaryB, dish: canarydish", "id: canaryB, dish: soup", "\nnames:",
	"\n  - {id: soup, title: CANARY-SOUP, portion: 60 g, serve at: 55 °C, allergens: [milk, celery]}\nnames:").
	Replace(grouped)

// What was dealt stays when somebody takes their answers out: what comes after rests on it.
// A place where nothing was tasted is the next one's of the stratum.
func TestWhatWasDealtStaysAfterAWithdrawal(t *testing.T) {
	n, ctx := newNight(t, grouped), t.Context()
	tasted := n.arrive("tasted", group(1, 1))
	n.taste(tasted)
	if b := ballot(t, n.svc, tasted); !b.Grouped {
		t.Error("the ballot does not say that the group stays")
	}
	untasted := n.arrive("untasted", group(2, 1))
	n.must(n.svc.Withdraw(ctx, tasted))
	n.must(n.svc.Withdraw(ctx, untasted))
	if got := ballot(t, n.svc, n.arrive("next of the first", group(1, 1))).Label; got != 3 {
		t.Errorf("the next of a stratum whose guest tasted gets place %d, want a new one", got)
	}
	if got := ballot(t, n.svc, n.arrive("next of the second", group(2, 1))).Label; got != 2 {
		t.Errorf("the next of a stratum whose guest never tasted gets place %d, want 2", got)
	}
	if _, dealt := n.dealt(); len(dealt) != 3 {
		t.Errorf("%d were dealt, want 3", len(dealt))
	}
	arrived := of[[]panel.Arrived](n)(n.svc.Arrived(ctx, n.study))
	if len(arrived) != 2 || arrived[0].Stratum != "first, hall" || arrived[0].Dealt[0]+arrived[0].Dealt[1] != 2 ||
		arrived[0].Withdrawn != 1 || arrived[1].Withdrawn != 0 {
		t.Errorf("arrived %+v", arrived)
	}
}
