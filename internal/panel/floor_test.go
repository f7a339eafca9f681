package panel_test

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

func TestFloorTakesAServingToASeat(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	token := consent(t, n.svc, n.sitting.Join, "one")
	if s := n.seat(1); s.State != panel.SeatStarting || s.Next.ID != "" {
		t.Errorf("before the instructions: %+v, want joined and nothing to serve", s)
	}
	n.must(n.svc.Start(ctx, token))
	n.clock.pass(90 * time.Second)
	b := ballot(t, n.svc, token).Turn
	s := n.seat(1)
	want := panel.FloorTurn{ID: b.ID, Number: 1, Response: study.Rate, Code: b.Code, Language: "en",
		Plates: []panel.FloorPlate{{ID: s.Next.Plates[0].ID, Code: design.Code(b.Code), Name: b.Name}}}
	if s.State != panel.SeatWaiting || !reflect.DeepEqual(s.Next, want) || s.Waiting != 90*time.Second || s.Of != 2 ||
		!s.Phone {
		t.Errorf("before it is served: %+v, want to wait for %+v since 90 s", s, want)
	}
	n.must(n.svc.Serve(ctx, n.floor, b.ID, panel.PhoneAct{}))
	if s := n.seat(1); s.State != panel.SeatTasting || !s.Next.Served {
		t.Errorf("after it is served: %+v", s)
	}
	n.must(n.svc.TakeBack(ctx, n.floor, b.ID, panel.PhoneAct{}))
	if s := n.seat(1); s.State != panel.SeatWaiting {
		t.Errorf("after it is taken back: %+v", s)
	}
	n.taste(token)
	if s := n.seat(1); s.State != panel.SeatRinsing || s.Rinse != 30*time.Second || s.Next.ID != "" || s.Over != 1 {
		t.Errorf("after the rating: %+v, want a rinse and no later name", s)
	}
	n.wantError("serve what was rated", n.svc.Serve(ctx, n.floor, b.ID, panel.PhoneAct{}), panel.ErrRated)
	n.must(n.svc.CutRinse(ctx, n.floor, s.ID, 1, panel.PhoneAct{}))
	if s, b := n.seat(1), ballot(t, n.svc, token); s.State != panel.SeatWaiting || s.Waiting != 0 ||
		b.Stage != panel.StageServing || s.Next.Number != 2 {
		t.Errorf("after the rinse was cut short: %+v and %+v", s, b)
	}
	n.taste(token)
	if s := n.seat(1); s.State != panel.SeatFinished || s.Over != 2 {
		t.Errorf("at the end: %+v", s)
	}
	n.wantLogged("floor 1: served: assessor 1, serving 1, code " + string(b.Code))
	n.wantLogged("floor 1: rinse cut short: assessor 1")
}

func TestADroppedPlateTakesTheNextSpareCode(t *testing.T) {
	n := newNight(t, strings.Replace(custard, "seed: 7}", "seed: 7, spare codes: 2}", 1))
	ctx := t.Context()
	_, plan, err := n.svc.Preview(ctx, n.study)
	n.must(err)
	token := n.guest("one")
	first := n.seat(1).Next
	n.must(n.svc.Serve(ctx, n.floor, first.ID, panel.PhoneAct{}))
	for i, spare := range plan.Spares[0] {
		fresh := of[panel.FloorPlate](n)(n.svc.Drop(ctx, n.floor, first.Plates[0].ID, panel.PhoneAct{}))
		if fresh.Code != spare || fresh.ID != first.Plates[0].ID || fresh.Name != first.Plates[0].Name ||
			fresh.Served {
			t.Errorf("drop %d gives %+v, want code %s and the same serving, not served yet", i, fresh, spare)
		}
	}
	n.wantError("no code left", last(n.svc.Drop(ctx, n.floor, first.Plates[0].ID, panel.PhoneAct{})), panel.ErrNoSpare)
	if b := ballot(t, n.svc, token); b.Turn.Code != panel.PlateCodes(plan.Spares[0][1]) {
		t.Errorf("the phone shows code %s", b.Turn.Code)
	}
	n.wantLogged("floor 1: dropped: assessor 1, serving 1, code " + string(first.Code))
	n.taste(token)
	n.wantError("drop what was rated", last(n.svc.Drop(ctx, n.floor, first.Plates[0].ID, panel.PhoneAct{})),
		panel.ErrRated)
	c := n.closed()
	if len(c.Dropped) != 2 || c.Dropped[0].Code != first.Plates[0].Code || c.Dropped[1].Code != plan.Spares[0][0] {
		t.Errorf("old codes %+v", c.Dropped)
	}
	if c.Answers[0].Code != plan.Spares[0][1] {
		t.Errorf("rated under %s, want the code that stood on the plate", c.Answers[0].Code)
	}
}

func TestARefusedServingIsSkipped(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	token := n.guest("one")
	first := n.seat(1).Next
	n.must(n.svc.Refuse(ctx, n.floor, first.ID, panel.PhoneAct{}))
	b := ballot(t, n.svc, token)
	if b.Stage != panel.StageServing || b.Turn.Number != 2 {
		t.Fatalf("after a refusal: %+v, want the second serving at once", b)
	}
	// The phone may have sent answers that arrive only now: who answers did not refuse.
	r := n.submit(token, panel.Submission{ID: "late", TurnID: first.ID}, "33")
	if r.Outcome != panel.Recorded {
		t.Errorf("answers to a serving noted as refused: %s", r.Outcome)
	}
	n.clock.pass(time.Minute)
	n.must(n.svc.Refuse(ctx, n.floor, n.seat(1).Next.ID, panel.PhoneAct{}))
	if b := ballot(t, n.svc, token); b.Stage != panel.StageDone {
		t.Errorf("after the last was refused: stage %d, want done", b.Stage)
	}
	if got := salts(n.closed().Answers); got != "1/1=33" {
		t.Errorf("ratings %s", got)
	}
}

func TestAGuestLeavesAndReturns(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	token := n.guest("one")
	n.taste(token)
	seat := n.seat(1)
	n.must(n.svc.Leave(ctx, n.floor, seat.ID, panel.PhoneAct{}))
	if s, b := n.seat(1), ballot(t, n.svc, token); s.State != panel.SeatLeft || s.Next.ID != "" ||
		b.Stage != panel.StageLeft {
		t.Errorf("after leaving: %+v, stage %d", s, b.Stage)
	}
	n.must(n.svc.Return(ctx, n.floor, seat.ID, panel.PhoneAct{}))
	n.clock.pass(time.Minute)
	if b := ballot(t, n.svc, token); b.Stage != panel.StageServing || b.Turn.Number != 2 {
		t.Errorf("after returning: %+v", b)
	}
	n.must(n.svc.SetSeat(ctx, n.floor, seat.ID, " table 4, window ", panel.PhoneAct{}))
	if s := n.seat(1); s.Seat != "table 4, window" {
		t.Errorf("seat %q", s.Seat)
	}
	n.wantError("a long note", n.svc.SetSeat(ctx, n.floor, seat.ID, strings.Repeat("x", panel.MaxSeatWords+1),
		panel.PhoneAct{}), panel.ErrBadValue)
	n.wantLogged("floor 1: guest left: assessor 1")
}

func TestAGuestWithoutAPhone(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	texts := of[panel.GuestTexts](n)(n.svc.ConsentText(ctx, n.floor))
	if texts.Consent != "I agree to taste." || len(texts.Allergens) != 2 || len(texts.Contains) != 1 {
		t.Errorf("to read: %+v", texts)
	}
	for _, c := range []panel.GuestConsent{{}, {AllergensRead: true}, {ConsentRead: true}} {
		n.wantError("without consent", last(n.svc.SeatGuest(ctx, n.floor, "g", c)), panel.ErrNotRead)
	}
	read := panel.GuestConsent{AllergensRead: true, ConsentRead: true}
	guest := of[panel.FloorSeat](n)(n.svc.SeatGuest(ctx, n.floor, "g", read))
	again := of[panel.FloorSeat](n)(n.svc.SeatGuest(ctx, n.floor, "g", read))
	if guest.ID != again.ID || guest.Phone || guest.State != panel.SeatWaiting || guest.Next.Code == "" {
		t.Errorf("seated %+v and %+v, want one seat without a phone that waits", guest, again)
	}
	questions := of[panel.BallotTurn](n)(n.svc.FloorBallot(ctx, n.floor, guest.Next.ID, ""))
	if len(questions.Asks) != 2 || questions.Asks[0].Given != "" {
		t.Errorf("questions %+v", questions)
	}
	sub := panel.Submission{ID: "f1", TurnID: guest.Next.ID, Given: map[string]string{"a1": "20", "a2": "6"}}
	if r := of[panel.Receipt](n)(n.svc.Enter(ctx, n.floor, sub)); r.Outcome != panel.Recorded || r.Held["a1"] != "20" {
		t.Errorf("receipt %+v", r)
	}
	if r := of[panel.Receipt](n)(n.svc.Enter(ctx, n.floor, sub)); r.Outcome != panel.Repeated {
		t.Errorf("sent twice: %s", r.Outcome)
	}
	held := of[panel.BallotTurn](n)(n.svc.FloorBallot(ctx, n.floor, guest.Next.ID, ""))
	if held.Asks[0].Given != "20" {
		t.Errorf("for a correction: %+v", held.Asks)
	}
	sub.ID, sub.Given = "f2", map[string]string{"a1": "25", "a2": "6"}
	if r := of[panel.Receipt](n)(n.svc.Enter(ctx, n.floor, sub)); r.Outcome != panel.Corrected || r.Held["a1"] != "25" {
		t.Errorf("correction: %+v", r)
	}
	n.wantLogged("floor 1: guest seated: assessor 1, allergens and consent read")
	n.wantLogged("floor 1: entered: assessor 1, serving 1, code " + string(guest.Next.Code))
	n.wantLogged("floor 1: corrected: assessor 1, serving 1, code " + string(guest.Next.Code))
	c := n.closed()
	if c.Answers[0].EnteredBy != "floor 1" || salts(c.Answers) != "1/1=25" || len(c.Replaced) != 1 {
		t.Errorf("collected %+v", c)
	}
}

// TestALateGuestGetsTheNextPlace seats by phone and by floor in turn.
func TestALateGuestGetsTheNextPlace(t *testing.T) {
	n := newNight(t, custard)
	n.guest("one")
	read := panel.GuestConsent{AllergensRead: true, ConsentRead: true}
	if s := of[panel.FloorSeat](n)(n.svc.SeatGuest(t.Context(), n.floor, "two", read)); s.Label != 2 {
		t.Errorf("label %d, want 2", s.Label)
	}
	n.guest("three")
	if r := n.room(); len(r.Seats) != 3 || r.Seats[2].Label != 3 || r.Counts.Free != 1 {
		t.Errorf("room %+v, want three seats and one free", r)
	}
	n.guest("four")
	n.wantError("a fifth of four", last(n.svc.SeatGuest(t.Context(), n.floor, "five", read)), panel.ErrFull)
}
