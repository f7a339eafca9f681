package panel_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

// gated is the custard whose names and questions wait for the code on the plate, as they do
// where a study of names does not say.
var gated = strings.Replace(custard, "plate gate: false, ", "", 1)

// gateHides are the words that nobody reads before the code was typed.
var gateHides = []string{"celeriac crème brûlée", "celeriac royale", "How salty is it?", "How much do you like it?"}

func mustHide(t *testing.T, what string, shown any) {
	t.Helper()
	text, err := json.Marshal(shown)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range gateHides {
		if strings.Contains(string(text), x) {
			t.Errorf("%s says %q: %s", what, x, text)
		}
	}
}

// TestPlateGateHoldsNameAndQuestionsBack: until the guest has typed the code on the plate no
// view of theirs holds name or question, no answer is taken, and only the code opens it.
func TestPlateGateHoldsNameAndQuestionsBack(t *testing.T) {
	n := newNight(t, gated)
	ctx, token := t.Context(), n.guest("one")
	for number := 1; number <= 2; number++ {
		b := ballot(t, n.svc, token)
		if b.Stage != panel.StagePlate || b.Gate.Number != number || b.Gate.Codes != 1 || b.Turn.ID != "" {
			t.Fatalf("serving %d: %+v, want the gate", number, b)
		}
		held := of[panel.Held](n)(n.svc.Ahead(ctx, token))
		mustHide(t, "the gate", b)
		mustHide(t, "what a phone holds", held)
		if len(held.Ahead) != 3-number || held.Ahead[0].ID != b.Gate.ID {
			t.Errorf("serving %d: %d sealed, want it and what comes after", number, len(held.Ahead))
		}
		sub := panel.Submission{ID: fmt.Sprint("early", number), TurnID: b.Gate.ID,
			Given: map[string]string{"a1": "5", "a2": "5"}}
		_, err := n.svc.Submit(ctx, token, sub)
		n.wantError("answer before the plate was opened", err, panel.ErrNotFound)
		for _, wrong := range []string{"", "12", "999999", "no code", string(b.Gate.Typed) + "0"} {
			n.wantError("open with "+wrong, n.svc.OpenPlate(ctx, token, b.Gate.ID, wrong), panel.ErrOtherCode)
		}
		n.must(n.svc.OpenPlate(ctx, token, "another", string(b.Gate.Typed)))
		if got := ballot(t, n.svc, token).Stage; got != panel.StagePlate {
			t.Fatalf("stage %d after the code of a turn that is not in front of them", got)
		}
		n.must(n.svc.OpenPlate(ctx, token, b.Gate.ID, " "+string(b.Gate.Typed)+" "))
		b = ballot(t, n.svc, token)
		if b.Stage != panel.StageServing || !slices.Contains(gateHides[:2], b.Turn.Name) || len(b.Turn.Asks) != 2 {
			t.Fatalf("serving %d after its code: %+v", number, b)
		}
		n.taste(token)
		n.clock.pass(time.Minute)
	}
}

// TestPlateGateTakesAnswersThatCameWithTheCode: a phone without network opened the seal, which
// takes the code, and the service hears of both at once; of a plate that was dropped meanwhile too.
func TestPlateGateTakesAnswersThatCameWithTheCode(t *testing.T) {
	n := newNight(t, gated)
	ctx, token := t.Context(), n.guest("one")
	first := ballot(t, n.svc, token).Gate
	old := n.seat(1).Next.Plates[0]
	fresh := of[panel.FloorPlate](n)(n.svc.Drop(ctx, n.floor, old.ID, panel.PhoneAct{}))
	n.wantError("open with a code that was never its own", n.svc.OpenPlate(ctx, token, first.ID, "000"),
		panel.ErrOtherCode)
	n.submit(token, panel.Submission{ID: "offline", TurnID: first.ID, Code: string(old.Code)}, "40")
	n.clock.pass(time.Minute)
	second := ballot(t, n.svc, token)
	if second.Stage != panel.StagePlate || second.Gate.Number != 2 {
		t.Fatalf("after the answers: %+v, want the gate of serving 2", second)
	}
	if string(fresh.Code) == string(old.Code) {
		t.Fatal("the dropped plate kept its code")
	}
	n.submit(token, panel.Submission{ID: "offline 2", TurnID: second.Gate.ID, Code: string(second.Gate.Typed)}, "60")
	if got := ballot(t, n.svc, token).Stage; got != panel.StageDone {
		t.Errorf("stage %d, want the end", got)
	}
}

// TestFloorTypesTheCodeAsGuestsDo: the questions that floor reads out follow the same rule.
func TestFloorTypesTheCodeAsGuestsDo(t *testing.T) {
	n := newNight(t, gated)
	ctx := t.Context()
	seat := of[panel.FloorSeat](n)(n.svc.SeatGuest(ctx, n.floor, "without a phone",
		panel.GuestConsent{AllergensRead: true, ConsentRead: true}))
	next := seat.Next
	if next.Gate != 1 {
		t.Errorf("%d codes open the questions, want 1", next.Gate)
	}
	for _, wrong := range []string{"", "111"} {
		b, err := n.svc.FloorBallot(ctx, n.floor, next.ID, wrong)
		n.wantError("the questions with "+wrong, err, panel.ErrOtherCode)
		mustHide(t, "floor's page", b)
		_, err = n.svc.Enter(ctx, n.floor, panel.Submission{ID: "x" + wrong, TurnID: next.ID, Code: wrong,
			Given: map[string]string{"a1": "5", "a2": "5"}})
		n.wantError("scores with "+wrong, err, panel.ErrOtherCode)
	}
	if b := of[panel.BallotTurn](n)(n.svc.FloorBallot(ctx, n.floor, next.ID, string(next.Code))); len(b.Asks) != 2 {
		t.Errorf("%d questions, want 2", len(b.Asks))
	}
	of[panel.Receipt](n)(n.svc.Enter(ctx, n.floor, panel.Submission{ID: "y", TurnID: next.ID,
		Code: string(next.Code), Given: map[string]string{"a1": "5", "a2": "5"}}))
	// What stands is corrected without its code: the plate is gone.
	of[panel.BallotTurn](n)(n.svc.FloorBallot(ctx, n.floor, next.ID, ""))
}

// TestPlateThatWasOpenedIsNotFree: whoever typed its code has it in front of them.
func TestPlateThatWasOpenedIsNotFree(t *testing.T) {
	n := newNight(t, gated)
	ctx, token := t.Context(), n.guest("one")
	if !n.seat(1).Free {
		t.Fatal("a guest who has nothing cannot be freed")
	}
	gate := ballot(t, n.svc, token).Gate
	n.must(n.svc.OpenPlate(ctx, token, gate.ID, string(gate.Typed)))
	if n.seat(1).Free {
		t.Error("the page offers to free a place with a plate in front of it")
	}
	n.wantError("free it", n.svc.FreeSeat(ctx, n.floor, n.seat(1).ID), panel.ErrTasted)
}

func TestRehearsalAsksForTheCodeOnThePlate(t *testing.T) {
	a := askedOf(t, strings.Replace(rehearsed, "plate gate: false, ", "", 1))
	r, err := panel.Rehearse(a, "en", 0, noon)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := stages(r), "instructions plate serving rinse plate serving done debrief"; got != want {
		t.Fatalf("screens: %s, want %s", got, want)
	}
	for _, i := range []int{1, 4} {
		mustHide(t, "the gate", r.Ballots[i])
		for typed, want := range map[string]bool{"": false, "1": false, string(r.Ballots[i].Gate.Typed): true} {
			if got, err := r.Opens(i, typed); got != want || err != nil {
				t.Errorf("screen %d opens with %q: %v, %v", i, typed, got, err)
			}
		}
	}
	if _, err := r.Opens(2, "123"); !isError(err, panel.ErrNotFound) {
		t.Errorf("a serving that is open: %v", err)
	}
}
