package panel_test

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/panel"
)

func TestTheKitchenPlatesByWave(t *testing.T) {
	n := newNight(t, three)
	ctx := t.Context()
	token := n.guest("one")
	n.guest("two")
	sheet := of[panel.KitchenSheet](n)(n.svc.KitchenSheet(ctx, n.kitchen))
	if len(sheet.Waves) != 3 || sheet.Counts.Joined() != 2 || len(sheet.Dishes) != 3 || sheet.Dishes[0].ServeAt != 64 ||
		len(sheet.Dishes[0].Allergens) != 1 || len(sheet.Allergens) != 2 {
		t.Fatalf("sheet %+v, want three waves, two guests and three dishes", sheet)
	}
	for _, w := range sheet.Waves {
		if len(w.Plates) != 6 || !slices.IsSortedFunc(w.Plates,
			func(a, b panel.KitchenPlate) int { return cmp.Compare(a.Code, b.Code) }) {
			t.Errorf("wave %d has plates %+v, want six by code", w.Number, w.Plates)
		}
		now, later := 0, 0
		for _, c := range w.Counts {
			if c.All != 2 {
				t.Errorf("wave %d: %d portions of %s, want 2", w.Number, c.All, c.DishID)
			}
			now, later = now+c.Now, later+c.Later
		}
		if w.Number == 1 && (now != 2 || later != 0) || w.Number > 1 && (now != 0 || later != 2) {
			t.Errorf("wave %d: %d plates now, %d later; want the first wave of two guests now", w.Number, now, later)
		}
	}
	b := ballot(t, n.svc, token).Turn
	n.must(n.svc.Serve(ctx, n.floor, b.ID, panel.PhoneAct{}))
	if got := n.plate(1, design.Code(b.Code)); got != panel.PlateServed {
		t.Errorf("after it was served: %s", got)
	}
	n.must(n.svc.Refuse(ctx, n.floor, b.ID, panel.PhoneAct{}))
	second := n.seat(2).Next
	fresh := of[panel.FloorPlate](n)(n.svc.Drop(ctx, n.floor, second.Plates[0].ID, panel.PhoneAct{}))
	if got := n.plate(1, fresh.Code); got != panel.PlateNow {
		t.Errorf("the plate under the new code: %q", got)
	}
	if got := n.plate(1, second.Plates[0].Code); got != "" {
		t.Errorf("the plate under the old code: %q, want none", got)
	}
	n.must(n.svc.Close(ctx, byLead, n.study))
	after := of[panel.KitchenSheet](n)(n.svc.KitchenSheet(ctx, n.kitchen))
	if after.Open || len(after.Waves)+len(after.Dishes) > 0 || len(after.Allergens) != 2 {
		t.Errorf("after close: %+v, want allergens alone", after)
	}
}

// plate returns the state of the plate with a code, "" when there is none.
func (n *night) plate(wave int, code design.Code) panel.PlateState {
	n.t.Helper()
	for _, p := range of[panel.KitchenSheet](n)(n.svc.KitchenSheet(n.t.Context(), n.kitchen)).Waves[wave-1].Plates {
		if p.Code == code {
			return p.State
		}
	}
	return ""
}

// The limits: The Food Safety and Hygiene (England) Regulations 2013, SI
// 2013/2996, Schedule 4 (63 and 8 °C); FDA Food Code 3-501.16 (57 and 5 °C).
func TestMeasuredTemperatures(t *testing.T) {
	n := newNight(t, three)
	ctx := t.Context()
	tests := []struct {
		name, dish string
		celsius    float64
		caution    string // a part of it; "" = none
	}{
		{"hot dish held hot", "canarydish1", 63, ""},
		{"hot dish between the two rules", "canarydish1", 62.9, "Below 63 °C"},
		{"hot dish at the American limit", "canarydish1", 57, "not below 57 °C"},
		{"hot dish too cool", "canarydish1", 56.9, "heat it again or serve it at once"},
		{"cold dish held cold", "canarydish2", 5, ""},
		{"cold dish between the two rules", "canarydish2", 8, "Above 5 °C"},
		{"cold dish too warm", "canarydish2", 8.1, "chill it again or serve it at once"},
		{"warm dish at its serving temperature", "canarydish3", 55, "serve it at once"},
		{"warm dish still held hot", "canarydish3", 70, ""},
		{"hot dish that was forgotten in the cold", "canarydish1", 7, "heat it again"},
	}
	for _, tc := range tests {
		got := of[[]string](n)(n.svc.LogTemperature(ctx, n.kitchen,
			panel.Temperature{Wave: 2, Dish: tc.dish, Celsius: tc.celsius, Sure: true}))
		far := math.Abs(tc.celsius-map[string]float64{"canarydish1": 64, "canarydish2": 5,
			"canarydish3": 55}[tc.dish]) > panel.ServeWithin
		if said := len(got) > 0 && strings.Contains(got[len(got)-1], "at which the study has it served"); said != far {
			t.Errorf("%s: cautions %q; more than 3 °C off is %v", tc.name, got, far)
		}
		if far {
			got = got[:len(got)-1]
		}
		switch {
		case tc.caution == "" && len(got) > 0:
			t.Errorf("%s: caution %q, want none", tc.name, got)
		case tc.caution != "" && (len(got) != 1 || !strings.Contains(got[0], tc.caution) ||
			!strings.Contains(got[0], "Local rules come first")):
			t.Errorf("%s: cautions %q, want one with %q that defers to local rules", tc.name, got, tc.caution)
		}
	}
	log := of[panel.KitchenSheet](n)(n.svc.KitchenSheet(ctx, n.kitchen)).Waves[1].Log
	if len(log) != len(tests) || log[1].Celsius != 62.9 || log[1].Who != "kitchen 1" || len(log[1].Cautions) != 1 {
		t.Errorf("log of wave 2: %+v", log)
	}
	bad := []struct {
		name, dish string
		wave       int
		celsius    float64
	}{
		{"no such dish", "nothing", 1, 60}, {"no such wave", "canarydish1", 4, 60}, {"wave 0", "canarydish1", 0, 60},
		{"not a number", "canarydish1", 1, math.NaN()}, {"hotter than an oven", "canarydish1", 1, 251},
		{"colder than a freezer", "canarydish1", 1, -41},
	}
	for _, tc := range bad {
		n.wantError(tc.name, last(n.svc.LogTemperature(ctx, n.kitchen,
			panel.Temperature{Wave: tc.wave, Dish: tc.dish, Celsius: tc.celsius, Sure: true})), panel.ErrBadValue)
	}
	n.wantLogged("kitchen 1: temperature: sitting 1, wave 2: 62.9 °C")
	if c := n.closed(); len(c.Measured) != len(tests) {
		t.Errorf("%d temperatures collected", len(c.Measured))
	}
}

func TestBreakingTheBlindForOneServing(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	token, other := n.guest("one"), n.guest("two")
	b := ballot(t, n.svc, token).Turn
	n.taste(token)
	n.taste(other)
	ask := panel.BreakBlind{SittingID: n.sitting.ID, Code: design.Code(b.Code)}
	n.wantError("without a reason", last(n.svc.BreakBlind(ctx, n.lead, ask)), panel.ErrReason)
	ask.Reason = strings.Repeat("x", panel.MaxReason+1)
	n.wantError("a reason that is too long", last(n.svc.BreakBlind(ctx, n.lead, ask)), panel.ErrReason)
	ask.Reason, ask.Code = "rash after two spoons", "000"
	n.wantError("no such plate", last(n.svc.BreakBlind(ctx, n.lead, ask)), panel.ErrNotFound)
	ask.Code, ask.Seat = design.Code(b.Code), 2
	n.wantError("another seat", last(n.svc.BreakBlind(ctx, n.lead, ask)), panel.ErrNotFound)
	ask.Seat = 0
	r := of[panel.Revealed](n)(n.svc.BreakBlind(ctx, n.lead, ask))
	if r.Dish != "CANARY-DISH" || r.Seat != 1 || r.Name != b.Name || len(r.Allergens) != 2 ||
		r.Contains[0] != "nutmeg" {
		t.Errorf("revealed %+v", r)
	}
	n.wantLogged("lead: blind broken: sitting 1, assessor 1, code " + string(b.Code) + ": rash after two spoons")
	if k := of[panel.Revealed](n)(n.svc.BreakBlind(ctx, n.kitchen, ask)); k.Dish != r.Dish || k.Name != "" {
		t.Errorf("revealed to the kitchen: %+v, want the dish and no name", k)
	}
	if live := of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study)); live.Sittings[0].Revealed != 1 {
		t.Errorf("board counts %d servings revealed, want 1", live.Sittings[0].Revealed)
	}
	n.must(n.svc.Close(ctx, byLead, n.study))
	n.wantError("after close", last(n.svc.BreakBlind(ctx, n.lead, ask)), panel.ErrNotOpen)
	_, c, err := n.svc.Collected(ctx, n.study)
	n.must(err)
	for _, x := range c.Answers {
		if x.Revealed != (x.Place == 0) {
			t.Errorf("rating %+v, want those of the revealed serving marked and no other", x)
		}
	}
}

// TestTheBlindIsBrokenByTheCodeOfADroppedPlate: part of it may have been eaten.
func TestTheBlindIsBrokenByTheCodeOfADroppedPlate(t *testing.T) {
	n := newNight(t, custard)
	n.guest("one")
	first := n.seat(1).Next
	of[panel.FloorPlate](n)(n.svc.Drop(t.Context(), n.floor, first.Plates[0].ID, panel.PhoneAct{}))
	r := of[panel.Revealed](n)(n.svc.BreakBlind(t.Context(), n.kitchen,
		panel.BreakBlind{Code: first.Plates[0].Code, Reason: "rash"}))
	if r.Seat != 1 || r.Dish == "" {
		t.Errorf("revealed %+v", r)
	}
}

func TestACodeOnSeveralPlatesNeedsTheSeat(t *testing.T) {
	n := newNight(t, strings.Replace(custard, "seed: 7}", "seed: 7, codes: sample}", 1))
	ctx := t.Context()
	for _, nonce := range []string{"one", "two", "three", "four"} {
		n.guest(nonce)
	}
	code := design.Code(n.seat(1).Next.Code)
	ask := panel.BreakBlind{SittingID: n.sitting.ID, Code: code, Reason: "rash"}
	n.wantError("without the seat", last(n.svc.BreakBlind(ctx, n.lead, ask)), panel.ErrAmbiguous)
	ask.Seat = 1
	if r := of[panel.Revealed](n)(n.svc.BreakBlind(ctx, n.lead, ask)); r.Seat != 1 {
		t.Errorf("revealed %+v", r)
	}
}

func TestABrokenBlindReachesTheFindings(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	var code design.Code
	for _, nonce := range []string{"one", "two", "three"} {
		token := n.guest(nonce)
		for range 2 {
			code = design.Code(ballot(t, n.svc, token).Turn.Code)
			n.taste(token)
			n.clock.pass(time.Minute)
		}
	}
	of[panel.Revealed](n)(n.svc.BreakBlind(ctx, n.lead,
		panel.BreakBlind{SittingID: n.sitting.ID, Code: code, Reason: "rash"}))
	n.must(n.svc.Withdraw(ctx, consent(t, n.svc, n.sitting.Join, "one")))
	n.must(n.svc.Close(ctx, byLead, n.study))
	_, found, err := n.svc.Findings(ctx, n.study)
	n.must(err)
	text := ""
	for _, w := range found.Warnings {
		if w.Code == analysis.WarnBlindBroken {
			text = w.Text
		}
	}
	if !strings.HasPrefix(text, "2 of the 8 ratings") {
		t.Errorf("warning %q, want 2 of 8 ratings", text)
	}
	withdrawn := 0
	for _, x := range found.Excluded {
		if x.Reason == "withdrawn" {
			withdrawn += x.Count
		}
	}
	if withdrawn != 1 {
		t.Errorf("excluded %+v, want one withdrawn", found.Excluded)
	}
}
