package panel_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// asking are studies that ask something after the last plate.
var (
	askingSame = strings.NewReplacer("{assessors: 4}", "{assessors: 4, last question: same}",
		"rinse: 30 s", "rinse: 0 s").Replace(custard)
	askingWhich = strings.NewReplacer("question: names", "question: samples",
		"names:\n  - {id: brulee, text: celeriac crème brûlée}\n  - {id: royale, text: celeriac royale}\n", "",
		"  - {id: canaryA, dish: canarydish, name: brulee}", "  - {id: canaryA, dish: canarydish, blind: true}",
		"  - {id: canaryB, dish: canarydish, name: royale}", "  - {id: canaryB, dish: other, blind: true}",
		"samples:\n", "  - {id: other, title: CANARY-OTHER, portion: 60 g, serve at: 55 °C, allergens: [milk]}\n"+
			"samples:\n",
		"{assessors: 4}", "{assessors: 4, last question: which}", "rinse: 30 s", "rinse: 0 s",
		"  instructions:", "  first compared: ONE-WITH\n  second compared: ONE-WITHOUT\n  instructions:",
	).Replace(custard)
)

// saysLast answers the last question.
func (n *night) saysLast(token panel.SeatToken, guess, thought string) panel.Outcome {
	n.t.Helper()
	outcome, _, err := n.svc.SayLast(n.t.Context(), token, map[string]string{"guess": guess}, thought)
	n.must(err)
	return outcome
}

// Nobody reads the last question before their last plate was rated, and after it nothing that
// was rated changes.
func TestLastQuestionComesLast(t *testing.T) {
	n, ctx := newNight(t, askingSame), t.Context()
	token := n.guest("one")
	given := map[string]string{"guess": "1"}
	for range 2 {
		if b := ballot(t, n.svc, token); b.Stage != panel.StageServing || len(b.Turn.Asks) != 2 {
			t.Fatalf("before the last plate: %+v", b)
		}
		_, _, err := n.svc.SayLast(ctx, token, given, "")
		n.wantError("an answer before the last plate", err, panel.ErrNotYet)
		_, err = n.svc.FloorLast(ctx, n.floor, n.seat(1).ID)
		n.wantError("floor asks before the last plate", err, panel.ErrNotFound)
		n.taste(token)
	}
	b := ballot(t, n.svc, token)
	if b.Stage != panel.StageLast || len(b.Turn.Asks) != 1 || len(b.Turn.Asks[0].Labels) != 3 ||
		b.Turn.AskComment == "" || b.MayCorrect || !b.MayWithdraw {
		t.Fatalf("after the last plate: %+v", b)
	}
	_, err := n.svc.Correctable(ctx, token)
	n.wantError("a change of what was rated", err, panel.ErrNotFound)
	for guess, want := range map[string]panel.Problem{"": panel.NoChoice, "4": panel.OffList, "0": panel.OffList} {
		_, back, err := n.svc.SayLast(ctx, token, map[string]string{"guess": guess}, "salt?")
		if err == nil || back.Turn.Asks[0].Problem != want || back.Turn.GivenComment != "salt?" {
			t.Errorf("guess %q: %v %+v", guess, err, back.Turn)
		}
	}
	if got := n.saysLast(token, "1", " salt? "); got != panel.Recorded {
		t.Errorf("the answer is %q", got)
	}
	if got := n.saysLast(token, "2", ""); got != panel.Repeated {
		t.Errorf("a second answer is %q", got)
	}
	if got := ballot(t, n.svc, token); got.Stage != panel.StageDone || got.MayCorrect {
		t.Errorf("after the answer: %+v", got)
	}
	turns := of[panel.Held](n)(n.svc.Ahead(ctx, token))
	if turns.Last != nil || len(turns.Ahead) != 0 {
		t.Errorf("held after the end: %+v", turns)
	}
	n.must(n.svc.Close(ctx, byLead, n.study))
	_, all, err := n.svc.Collected(ctx, n.study)
	n.must(err)
	if got := all.People[0].SaidLast; got.Guess != study.GuessSame || got.Thought != "salt?" || got.EnteredBy != "" ||
		got.AfterClose {
		t.Errorf("kept: %+v", got)
	}
	for _, e := range all.Events {
		if strings.Contains(e.Detail, "salt?") {
			t.Errorf("the log holds the answer: %+v", e)
		}
	}
}

// A last turn that is sent again once the last question was answered changes nothing.
func TestNoChangeAfterTheLastQuestion(t *testing.T) {
	n, ctx := newNight(t, askingSame), t.Context()
	token := n.guest("one")
	n.taste(token)
	last := ballot(t, n.svc, token).Turn.ID
	n.taste(token)
	n.saysLast(token, "3", "")
	got := n.submit(token, panel.Submission{ID: "again", TurnID: last}, "90")
	if got.Outcome != panel.TooLate || got.Held["a1"] != "50" {
		t.Errorf("sent again: %+v", got)
	}
	n.must(n.svc.Withdraw(ctx, token))
	_, _, err := n.svc.SayLast(ctx, token, map[string]string{"guess": "1"}, "")
	n.wantError("an answer after withdrawal", err, panel.ErrWithdrawn)
	n.must(n.svc.Close(ctx, byLead, n.study))
	_, all, err := n.svc.Collected(ctx, n.study)
	n.must(err)
	if all.People[0].SaidLast != (panel.SaidLast{}) {
		t.Errorf("kept of who withdrew: %+v", all.People[0].SaidLast)
	}
}

// Floor asks for a guest without a phone; what comes after the close is kept aside.
func TestFloorAsksTheLastQuestion(t *testing.T) {
	n, ctx := newNight(t, askingWhich), t.Context()
	n.must(last(n.svc.SeatGuest(ctx, n.floor, "two", panel.GuestConsent{AllergensRead: true, ConsentRead: true})))
	late := n.guest("late")
	n.taste(late)
	n.taste(late)
	paper := of[panel.PaperBallots](n)(n.svc.PaperBallots(ctx, n.floor))
	for _, g := range paper.Guests {
		if g.Last == nil || len(g.Last.Asks) != 1 {
			t.Errorf("on paper, seat %d: %+v", g.Label, g.Last)
		}
	}
	for i := range 2 {
		seat := n.seat(1)
		if seat.Asks {
			t.Fatalf("floor is to ask after %d plates", i)
		}
		_, err := n.svc.Enter(ctx, n.floor, panel.Submission{ID: "floor " + string(seat.Next.ID), TurnID: seat.Next.ID,
			Given: map[string]string{"a1": "40", "a2": "5"}})
		n.must(err)
	}
	seat := n.seat(1)
	if !seat.Asks || seat.State != panel.SeatFinished {
		t.Fatalf("after the last plate: %+v", seat)
	}
	asked := of[panel.BallotTurn](n)(n.svc.FloorLast(ctx, n.floor, seat.ID))
	if ask := asked.Asks[0]; !strings.Contains(ask.Text, "ONE-WITH") || len(ask.Labels) != 3 ||
		!strings.HasPrefix(ask.Labels[0], "Serving 1, code ") {
		t.Errorf("floor asks %+v", asked)
	}
	_, _, err := n.svc.EnterLast(ctx, n.floor, seat.ID, map[string]string{"guess": "2"}, "starch")
	n.must(err)
	if n.seat(1).Asks {
		t.Error("floor is to ask again")
	}
	n.must(n.svc.Close(ctx, byLead, n.study))
	if got := n.saysLast(late, "1", "too late"); got != panel.AfterClose {
		t.Errorf("after the close: %q", got)
	}
	_, all, err := n.svc.Collected(ctx, n.study)
	n.must(err)
	first, second := all.People[0].SaidLast, all.People[1].SaidLast
	var tasted []study.SampleID
	for _, x := range all.Turns[:2] {
		tasted = append(tasted, x.Servings[0].Sample)
	}
	if first.Guess != study.Guess(tasted[1]) || first.EnteredBy == "" || !second.AfterClose ||
		second.Thought != "too late" {
		t.Errorf("kept %+v and %+v; tasted %v", first, second, tasted)
	}
}

// What a phone holds ahead opens with the codes of the last turn alone.
func TestLastQuestionIsSealed(t *testing.T) {
	n, ctx := newNight(t, askingWhich), t.Context()
	token := n.guest("one")
	for range 2 {
		held := of[panel.Held](n)(n.svc.Ahead(ctx, token))
		if held.Last == nil {
			t.Fatal("no last question is held")
		}
		if strings.Contains(string(held.Last.Box), "ONE-WITH") || len(held.Last.Box)%2048 != 16 {
			t.Errorf("the box is open, or its length tells: %d bytes", len(held.Last.Box))
		}
		n.taste(token)
	}
	if held := of[panel.Held](n)(n.svc.Ahead(ctx, token)); held.Last != nil || held.Ballot.Stage != panel.StageLast {
		t.Errorf("held when it is asked: %+v", held)
	}
}
