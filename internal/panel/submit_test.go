package panel_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

const three = `cloche: 1
title: CANARY-TITLE which of three?
question: samples
dishes:
  - {id: canarydish1, title: CANARY-ONE, portion: 60 g, serve at: 64 °C, allergens: [milk]}
  - {id: canarydish2, title: CANARY-TWO, portion: 60 g, serve at: 5 °C, allergens: [celery]}
  - {id: canarydish3, title: CANARY-THREE, portion: 60 g, serve at: 55 °C, allergens: []}
samples:
  - {id: canaryA, dish: canarydish1, blind: true}
  - {id: canaryB, dish: canarydish2, blind: true}
  - {id: canaryC, dish: canarydish3, blind: true}
attributes:
  - {id: salt, ask: How salty is it?, scale: {line: [not at all, extremely]}}
  - {id: liking, ask: How much do you like it?, scale: hedonic-9}
panel: {assessors: 6}
serving: {rinse: 30 s, seed: 3}
texts:
  consent: I agree to taste.
  instructions: Taste, then rate.
  comment: What else did you notice?
analysis: {compare: [canaryA, canaryB], attribute: salt}
`

// plan returns the servings of an assessor in order, by having floor note each as
// refused; who answers later did not refuse.
func (n *night) plan(token panel.SeatToken) []panel.FloorTurn {
	n.t.Helper()
	label := ballot(n.t, n.svc, token).Label
	var all []panel.FloorTurn
	for {
		s := n.seat(label)
		if s.State != panel.SeatWaiting {
			return all
		}
		all = append(all, s.Next)
		n.must(n.svc.Refuse(n.t.Context(), n.floor, s.Next.ID, panel.PhoneAct{}))
	}
}

func TestASubmissionIsTakenOnce(t *testing.T) {
	n := newNight(t, three)
	token := n.guest("one")
	id := ballot(t, n.svc, token).Turn.ID
	first := n.submit(token, panel.Submission{ID: "s1", Seq: 1, TurnID: id, Comment: "  smoky  "}, "40")
	if first.Outcome != panel.Recorded || first.Held["a1"] != "40" || first.Held["a2"] != "5" ||
		first.Comment != "smoky" {
		t.Errorf("receipt %+v", first)
	}
	again := n.submit(token, panel.Submission{ID: "s1", Seq: 1, TurnID: id}, "90")
	if again.Outcome != panel.Repeated || again.Held["a1"] != "40" || again.Comment != "smoky" {
		t.Errorf("sent twice: %+v, want what was held", again)
	}
	n.must(n.svc.Close(t.Context(), byLead, n.study))
	if r := n.submit(token, panel.Submission{ID: "s1", Seq: 1, TurnID: id}, "40"); r.Outcome != panel.Repeated ||
		r.Held["a1"] != "40" {
		t.Errorf("sent again after close: %+v, want to be told that it is held", r)
	}
	if r := n.submit(token, panel.Submission{ID: "s2", Seq: 2, TurnID: id}, "1"); r.Outcome != panel.AfterClose ||
		r.Held["a1"] != "40" {
		t.Errorf("a new one after close: %+v, want it kept aside and the first held", r)
	}
}

func TestSubmissionsThatCannotBe(t *testing.T) {
	n := newNight(t, three)
	token := n.guest("one")
	id := ballot(t, n.svc, token).Turn.ID
	good := map[string]string{"a1": "1", "a2": "1"}
	tests := []struct {
		name string
		sub  panel.Submission
		want error
	}{
		{"no id", panel.Submission{TurnID: id, Given: good}, panel.ErrBadValue},
		{"a long id", panel.Submission{ID: strings.Repeat("x", 65), TurnID: id, Given: good}, panel.ErrBadValue},
		{"a count below zero", panel.Submission{ID: "x", Seq: -1, TurnID: id, Given: good}, panel.ErrBadValue},
		{"no such serving", panel.Submission{ID: "x", TurnID: "nothing", Given: good}, panel.ErrNotFound},
	}
	for _, tc := range tests {
		_, err := n.svc.Submit(t.Context(), token, tc.sub)
		n.wantError(tc.name, err, tc.want)
	}
	r, err := n.svc.Submit(t.Context(), token, panel.Submission{ID: "x", TurnID: id, Given: good,
		Comment: strings.Repeat("é", panel.MaxComment+1)})
	var wrong *panel.AnswerError
	if !errors.As(err, &wrong) || wrong.Fields["comment"] != panel.TooLong || r.Back.Turn.Problem != panel.TooLong ||
		r.Back.Turn.Asks[0].Given != "1" {
		t.Errorf("a comment that is too long: %v, %+v", err, r.Back)
	}
	if r := n.submit(token, panel.Submission{ID: "x", TurnID: id, Comment: strings.Repeat("é", panel.MaxComment)},
		"1"); r.Outcome != panel.Recorded {
		t.Errorf("the longest comment: %s", r.Outcome)
	}
}

func TestACorrectionKeepsWhatItReplaces(t *testing.T) {
	n := newNight(t, three)
	ctx := t.Context()
	token := n.guest("one")
	b := ballot(t, n.svc, token)
	n.wantError("nothing to correct yet", last(n.svc.Correctable(ctx, token)), panel.ErrNotFound)
	if b.MayCorrect {
		t.Error("a correction is offered before the first rating")
	}
	n.submit(token, panel.Submission{ID: "s1", TurnID: b.Turn.ID, Comment: "first"}, "40")
	held := of[panel.BallotTurn](n)(n.svc.Correctable(ctx, token))
	if held.ID != b.Turn.ID || held.Asks[0].Given != "40" || held.Asks[1].Given != "5" || held.GivenComment != "first" {
		t.Errorf("to correct: %+v", held)
	}
	n.clock.pass(10 * time.Second)
	r := n.submit(token, panel.Submission{ID: "s2", TurnID: b.Turn.ID, Comment: "second"}, "44")
	if r.Outcome != panel.Corrected || r.Held["a1"] != "44" || r.Comment != "second" {
		t.Errorf("correction %+v", r)
	}
	if b := ballot(t, n.svc, token); b.Rinse != 20*time.Second || !b.MayCorrect {
		t.Errorf("rinse after a correction %v, want it to run on", b.Rinse)
	}
	if r := n.submit(token, panel.Submission{ID: "s1", TurnID: b.Turn.ID}, "40"); r.Outcome != panel.Repeated ||
		r.Held["a1"] != "44" {
		t.Errorf("the first one again: %+v, want the correction to stand", r)
	}
	n.clock.pass(time.Minute)
	n.taste(token)
	if r := n.submit(token, panel.Submission{ID: "s3", TurnID: b.Turn.ID}, "1"); r.Outcome != panel.TooLate ||
		r.Held["a1"] != "44" {
		t.Errorf("after the next serving was rated: %+v", r)
	}
	n.wantLogged("assessor 1: corrected: assessor 1, serving 1, code " + string(b.Turn.Code))
	c := n.closed()
	var old []float64
	for _, r := range c.Replaced {
		for _, a := range r.Answers {
			if a.Attribute == "salt" {
				old = append(old, a.Value)
			}
		}
	}
	if len(old) != 2 || old[0] != 40 || old[1] != 1 || c.Replaced[0].Comment != "first" {
		t.Errorf("kept aside %+v, want 40 and then the 1 that came too late", c.Replaced)
	}
	if len(c.Comments) != 1 || c.Comments[0].Text != "second" || c.Comments[0].Assessor != 1 {
		t.Errorf("comments %+v", c.Comments)
	}
}

// TestAPhonesQueueArrivesInAnyOrder sends what a phone made without network, its
// corrections among it, in every order, each twice: always the same stands.
func TestAPhonesQueueArrivesInAnyOrder(t *testing.T) {
	type made struct {
		seq, serving int
		salt         string
	}
	queue := []made{{1, 0, "10"}, {2, 0, "11"}, {3, 1, "20"}, {4, 2, "30"}, {5, 2, "31"}}
	for _, order := range permutations(len(queue)) {
		n := newNight(t, three)
		token := n.guest("one")
		servings := n.plan(token)
		for _, k := range append(order, order...) {
			q := queue[k]
			v := servings[q.serving]
			n.submit(token, panel.Submission{ID: "q" + q.salt, Seq: q.seq, TurnID: v.ID, Code: string(v.Code)}, q.salt)
		}
		if b := ballot(t, n.svc, token); b.Stage != panel.StageDone {
			t.Fatalf("order %v: stage %d, want done", order, b.Stage)
		}
		c := n.closed()
		if got := salts(c.Answers); got != "1/1=11 1/2=20 1/3=31" {
			t.Fatalf("order %v: ratings %s", order, got)
		}
		if len(c.Replaced) != 2 {
			t.Fatalf("order %v: %d kept aside, want 2", order, len(c.Replaced))
		}
	}
}

// permutations returns some orders of n things: every rotation, forwards and
// backwards, and every swap of two.
func permutations(n int) [][]int {
	var all [][]int
	for i := range n {
		forth, back := make([]int, n), make([]int, n)
		for k := range n {
			forth[k], back[k] = (i+k)%n, (2*n+i-k-1)%n
		}
		all = append(all, forth, back)
		for j := range i {
			swapped := make([]int, n)
			for k := range n {
				swapped[k] = k
			}
			swapped[i], swapped[j] = j, i
			all = append(all, swapped)
		}
	}
	return all
}

// TestAServingAheadNeedsTheCodeOfItsPlate sends the third serving before the first.
func TestAServingAheadNeedsTheCodeOfItsPlate(t *testing.T) {
	n := newNight(t, three)
	ctx := t.Context()
	token, other := n.guest("one"), n.guest("two")
	third := n.third(token)
	code, _ := n.unseal(third)
	sub := panel.Submission{ID: "x", TurnID: third.ID, Given: map[string]string{"a1": "1", "a2": "1"}}
	for _, wrong := range []string{"", "000", "1" + code} {
		sub.Code = wrong
		n.wantError("code "+wrong, last(n.svc.Submit(ctx, token, sub)), panel.ErrNotFound)
	}
	sub.Code = code
	n.wantError("another guest's serving", last(n.svc.Submit(ctx, other, sub)), panel.ErrNotFound)
	if r := of[panel.Receipt](n)(n.svc.Submit(ctx, token, sub)); r.Outcome != panel.Recorded {
		t.Errorf("with its code: %s", r.Outcome)
	}
	if b := ballot(t, n.svc, token); b.Stage != panel.StageServing || b.Turn.Number != 1 {
		t.Errorf("then the phone shows %+v, want serving 1", b)
	}
}

// third returns the last of three servings as a phone holds it ahead.
func (n *night) third(token panel.SeatToken) panel.Sealed {
	n.t.Helper()
	sealed := of[panel.Held](n)(n.svc.Ahead(n.t.Context(), token)).Ahead
	if len(sealed) != 2 {
		n.t.Fatalf("%d servings ahead, want 2", len(sealed))
	}
	return sealed[1]
}

func TestWithdrawingTakesEverythingOut(t *testing.T) {
	n := newNight(t, three)
	ctx := t.Context()
	token, other := n.guest("one"), n.guest("two")
	id := ballot(t, n.svc, token).Turn.ID
	n.submit(token, panel.Submission{ID: "s1", TurnID: id, Comment: "CANARY-COMMENT"}, "77")
	n.submit(token, panel.Submission{ID: "s2", TurnID: id}, "78")
	n.taste(other)
	n.must(n.svc.Withdraw(ctx, token))
	n.must(n.svc.Withdraw(ctx, token))
	if b := ballot(t, n.svc, token); b.Stage != panel.StageWithdrawn || b.MayWithdraw || b.MayCorrect {
		t.Errorf("afterwards the phone shows %+v", b)
	}
	_, err := n.svc.Submit(ctx, token, panel.Submission{ID: "s3", TurnID: id,
		Given: map[string]string{"a1": "1", "a2": "1"}})
	n.wantError("a submission afterwards", err, panel.ErrWithdrawn)
	if r := n.submit(token, panel.Submission{ID: "s1", TurnID: id}, "77"); r.Outcome != panel.Repeated ||
		len(r.Held) != 0 {
		t.Errorf("an old submission again: %+v, want it known and nothing held", r)
	}
	if s := n.seat(1); s.State != panel.SeatWithdrawn {
		t.Errorf("seat %+v", s)
	}
	logged := 0
	for _, l := range n.log() {
		if strings.HasPrefix(l, "assessor 1: withdrew") {
			logged++
		}
		hashes := strings.Contains(l, "code") || strings.HasPrefix(l, "lead: locked")
		if strings.Contains(l, "77") && !hashes || strings.Contains(l, "CANARY-COMMENT") {
			t.Errorf("the log holds what was withdrawn: %s", l)
		}
	}
	if logged != 1 {
		t.Errorf("withdrawal logged %d times, want once", logged)
	}
	c := n.closed()
	if salts(c.Answers) != "2/1=50" || len(c.Replaced) != 0 || len(c.Comments) != 0 {
		t.Errorf("collected %+v, want the other assessor's alone", c)
	}
	_, ratings, err := n.svc.Ratings(ctx, n.study)
	if err != nil || len(ratings) != 2 {
		t.Errorf("ratings %+v, %v", ratings, err)
	}
}
