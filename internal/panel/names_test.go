package panel_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

// expecting has its names read and rated before any tasting.
var expecting = strings.Replace(custard, "seed: 7}", "seed: 7, expectation: true}", 1)

// read says what is expected of the name that comes next, and returns its form.
func (n *night) read(token panel.SeatToken, salt string) panel.BallotTurn {
	n.t.Helper()
	b := ballot(n.t, n.svc, token)
	if b.Stage != panel.StageNames {
		n.t.Fatalf("stage %d, want a name to read", b.Stage)
	}
	if r := n.submit(token, panel.Submission{ID: "read " + string(b.Turn.ID), TurnID: b.Turn.ID},
		salt); r.Outcome != panel.Recorded {
		n.t.Fatalf("what is expected was %s", r.Outcome)
	}
	return b.Turn
}

func TestNamesAreReadBeforeTasting(t *testing.T) {
	n := newNight(t, expecting)
	ctx := t.Context()
	token := consent(t, n.svc, n.sitting.Join, "one")
	if b := ballot(t, n.svc, token); b.Stage != panel.StageInstructions || b.Names != 2 || b.Of != 2 {
		t.Errorf("instructions %+v, want two names and two servings", b)
	}
	n.must(n.svc.Start(ctx, token))
	first := n.read(token, "70")
	if first.Code != "" || !first.Read || first.Number != 1 || first.AskComment != "" || len(first.Asks) != 2 {
		t.Errorf("the first name %+v", first)
	}
	if s := n.seat(1); s.State != panel.SeatReading || s.Reads.Number != 2 || s.Reads.Of != 2 || s.Next.ID != "" ||
		s.Over != 0 || s.Of != 2 {
		t.Errorf("on the floor %+v, want a seat that reads its second name", s)
	}
	live := of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study)).Sittings[0]
	if live.Reading != 1 || live.Tasting != 0 || live.Pace != 0 || live.Expected != 2 || live.Rated != 0 {
		t.Errorf("board %+v", live)
	}
	n.clock.pass(time.Minute)
	second := n.read(token, "40")
	if first.Name == second.Name || second.Number != 2 {
		t.Errorf("names %q and %q", first.Name, second.Name)
	}
	n.clock.pass(20 * time.Second)
	if s := n.seat(1); s.State != panel.SeatWaiting || s.Waiting != 20*time.Second || s.Next.Number != 1 {
		t.Errorf("after the names %+v, want to wait since 20 s, without a rinse", s)
	}
	if sheet := of[panel.KitchenSheet](n)(n.svc.KitchenSheet(ctx, n.kitchen)); len(sheet.Waves) != 2 ||
		len(sheet.Waves[0].Plates) != 4 {
		t.Errorf("the kitchen plates %+v, want two waves and no name", sheet.Waves)
	}
	for range 2 {
		n.taste(token)
		n.clock.pass(time.Minute)
	}
	c := n.closed()
	if got := salts(c.Answers); got != "1/0=70 1/0=40 1/1=50 1/2=50" {
		t.Errorf("ratings %s", got)
	}
	if _, ratings, err := n.svc.Ratings(ctx, n.study); err != nil || len(ratings) != 4 {
		t.Errorf("%d ratings are analysed, %v; want those of the plates", len(ratings), err)
	}
}

// TestNamesComeInBalancedOrder: over the panel each name is read first equally often.
func TestNamesComeInBalancedOrder(t *testing.T) {
	n := newNight(t, expecting)
	first := map[string]int{}
	for i := range 4 {
		first[ballot(t, n.svc, n.guest(fmt.Sprint(i))).Turn.Name]++
	}
	if first[nameA] != 2 || first[nameB] != 2 {
		t.Errorf("read first: %v, want each twice", first)
	}
}

func TestWhatIsExpectedCanBeCorrectedUntilTheNext(t *testing.T) {
	n := newNight(t, expecting)
	ctx := t.Context()
	token := n.guest("one")
	first := n.read(token, "70")
	if !ballot(t, n.svc, token).MayCorrect {
		t.Error("no correction after a name")
	}
	if c := of[panel.BallotTurn](n)(n.svc.Correctable(ctx, token)); c.ID != first.ID || !c.Read ||
		c.Asks[0].Given != "70" {
		t.Errorf("to correct %+v", c)
	}
	if r := n.submit(token, panel.Submission{ID: "c", TurnID: first.ID}, "60"); r.Outcome != panel.Corrected ||
		r.Held["a1"] != "60" {
		t.Errorf("correction %+v", r)
	}
	n.wantLogged("assessor 1: corrected: assessor 1, name 1, before tasting")
	n.read(token, "30")
	if r := n.submit(token, panel.Submission{ID: "late", TurnID: first.ID}, "10"); r.Outcome != panel.TooLate {
		t.Errorf("after the second name: %s", r.Outcome)
	}
	n.must(n.svc.Withdraw(ctx, token))
	if c := n.closed(); len(c.Answers) != 0 || len(c.Replaced) != 0 {
		t.Errorf("after withdrawal %+v and %+v are kept", c.Answers, c.Replaced)
	}
}

// TestNobodyExpectsAfterTasting: a name that was not read by then is passed over, and
// what arrives for it later counts only when the phone made it before.
func TestNobodyExpectsAfterTasting(t *testing.T) {
	for _, tc := range []struct {
		name string
		seq  int
		want panel.Outcome
	}{{"made before", 2, panel.Recorded}, {"made after", 4, panel.TooLate}, {"not counted", 0, panel.TooLate}} {
		t.Run(tc.name, func(t *testing.T) {
			n := newNight(t, expecting)
			ctx := t.Context()
			token := n.guest("one")
			first := n.read(token, "70")
			second := ballot(t, n.svc, token).Turn
			if ahead := of[panel.Held](n)(n.svc.Ahead(ctx, token)).Ahead; len(ahead) != 2 {
				t.Fatalf("%d servings are held ahead at the last name, want both", len(ahead))
			}
			plate := of[panel.Held](n)(n.svc.Ahead(ctx, token)).Ahead[0]
			code, _ := n.unseal(plate)
			if r := n.submit(token, panel.Submission{ID: "p", Seq: 3, TurnID: plate.ID, Code: code},
				"50"); r.Outcome != panel.Recorded {
				t.Fatal(r.Outcome)
			}
			n.clock.pass(time.Minute)
			if b := ballot(t, n.svc, token); b.Stage != panel.StageServing || b.Turn.Number != 2 {
				t.Errorf("after a plate the ballot shows %+v", b)
			}
			if r := n.submit(token, panel.Submission{ID: "n", Seq: tc.seq, TurnID: second.ID},
				"40"); r.Outcome != tc.want {
				t.Errorf("outcome %s, want %s", r.Outcome, tc.want)
			}
			if r := n.submit(token, panel.Submission{ID: "c", Seq: tc.seq, TurnID: first.ID},
				"41"); tc.want == panel.TooLate && r.Outcome != panel.TooLate {
				t.Errorf("correction of the first name: %s", r.Outcome)
			}
		})
	}
}

// TestNoNameIsHeldAhead: the phone has to ask for each, and a name ahead of its turn
// is not taken.
func TestNoNameIsHeldAhead(t *testing.T) {
	n := newNight(t, expecting)
	token := n.guest("one")
	if ahead := of[panel.Held](n)(n.svc.Ahead(t.Context(), token)).Ahead; len(ahead) != 0 {
		t.Errorf("%d servings ahead while a name is to be read", len(ahead))
	}
	n.read(token, "1")
	other := n.guest("two")
	second := ballot(t, n.svc, token).Turn
	_, err := n.svc.Submit(t.Context(), other, panel.Submission{ID: "x", TurnID: second.ID,
		Given: map[string]string{"a1": "1", "a2": "5"}})
	n.wantError("another's name", err, panel.ErrNotFound)
	later := of[panel.Held](n)(n.svc.Ahead(t.Context(), token)).Ahead
	_, err = n.svc.Submit(t.Context(), token, panel.Submission{ID: "y", TurnID: later[0].ID,
		Given: map[string]string{"a1": "1", "a2": "5"}})
	n.wantError("a plate without its code", err, panel.ErrNotFound)
}

// TestFloorEntersOrSkipsWhatIsExpected of a guest without a phone.
func TestFloorEntersOrSkipsWhatIsExpected(t *testing.T) {
	n := newNight(t, expecting)
	ctx := t.Context()
	s := of[panel.FloorSeat](n)(n.svc.SeatGuest(ctx, n.floor, "g",
		panel.GuestConsent{AllergensRead: true, ConsentRead: true}))
	if s.State != panel.SeatReading || s.Reads.Number != 1 {
		t.Fatalf("a seated guest %+v, want to read a name", s)
	}
	for what, err := range map[string]error{
		"serve":     n.svc.Serve(ctx, n.floor, s.Reads.ID, panel.PhoneAct{}),
		"take back": n.svc.TakeBack(ctx, n.floor, s.Reads.ID, panel.PhoneAct{}),
		"drop":      last(n.svc.Drop(ctx, n.floor, panel.ServingID(s.Reads.ID), panel.PhoneAct{})),
	} {
		n.wantError(what+" a name", err, panel.ErrNotFound)
	}
	form := of[panel.BallotTurn](n)(n.svc.FloorBallot(ctx, n.floor, s.Reads.ID, ""))
	if !form.Read || !slices.Contains([]string{nameA, nameB}, form.Name) {
		t.Errorf("the form %+v", form)
	}
	sub := panel.Submission{ID: "f", TurnID: s.Reads.ID, Given: map[string]string{"a1": "33", "a2": "6"}}
	of[panel.Receipt](n)(n.svc.Enter(ctx, n.floor, sub))
	n.wantLogged("floor 1: entered: assessor 1, name 1, before tasting")
	n.wantError("skip what was entered", n.svc.Refuse(ctx, n.floor, s.Reads.ID, panel.PhoneAct{}), panel.ErrRated)
	n.clock.pass(time.Minute)
	n.must(n.svc.Refuse(ctx, n.floor, n.seat(1).Reads.ID, panel.PhoneAct{}))
	n.wantLogged("floor 1: refused: assessor 1, name 2, before tasting")
	if s := n.seat(1); s.State != panel.SeatWaiting || s.Next.Number != 1 || s.Waiting != 0 {
		t.Errorf("after a name was skipped %+v", s)
	}
	live := of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study)).Sittings[0]
	if live.Refused != 0 {
		t.Errorf("%d plates count as refused", live.Refused)
	}
	_, err := n.svc.BreakBlind(ctx, n.lead, panel.BreakBlind{SittingID: n.sitting.ID, Reason: "rash"})
	n.wantError("break the blind without a code", err, panel.ErrNotFound)
	c := n.closed()
	if len(c.Answers) != 2 || c.Answers[0].EnteredBy != "floor 1" {
		t.Errorf("kept %+v", c.Answers)
	}
}

// spreadNames gives three named samples, two at a first and one at a second sitting.
var spreadNames = strings.NewReplacer("panel: {assessors: 4}", "panel: {assessors: 6, sittings: 2}",
	"seed: 7}", "seed: 7, expectation: true, most per sitting: 2}",
	"attributes:", "  - {id: canaryC, dish: canarydish, name: bavarois}\nattributes:",
	"samples:", "  - {id: bavarois, text: celeriac bavarois}\nsamples:").Replace(custard)

// TestWhoJoinsLateReadsTheNamesTheyMeet and no other; who comes back reads none again.
func TestWhoJoinsLateReadsTheNamesTheyMeet(t *testing.T) {
	n := newNight(t, spreadNames)
	token := n.guest("early")
	if b := ballot(t, n.svc, token); b.Of != 3 {
		t.Errorf("at the first sitting %d names, want all three", b.Of)
	}
	for range 3 {
		n.read(token, "10")
	}
	for range ballot(t, n.svc, token).Of {
		n.taste(token)
		n.clock.pass(time.Minute)
	}
	second, _, floor := n.open()
	if b := ballot(t, n.svc, token); b.Stage != panel.StageServing {
		t.Errorf("at the second sitting stage %d, want a serving at once", b.Stage)
	}
	late := consent(t, n.svc, second.Join, "late")
	b := ballot(t, n.svc, late)
	if b.Names != b.Of || b.Names == 3 {
		t.Errorf("the late one reads %d names for %d servings", b.Names, b.Of)
	}
	n.must(n.svc.Start(t.Context(), late))
	read, met := map[string]bool{}, map[string]bool{}
	for range b.Names {
		read[n.read(late, "20").Name] = true
	}
	for range b.Of {
		met[ballot(t, n.svc, late).Turn.Name] = true
		n.taste(late)
		n.clock.pass(time.Minute)
	}
	if fmt.Sprint(read) != fmt.Sprint(met) {
		t.Errorf("read %v, met %v", read, met)
	}
	if b := ballot(t, n.svc, late); b.Stage != panel.StageDone {
		t.Errorf("stage %d at the end", b.Stage)
	}
	if room := of[panel.Room](n)(n.svc.Room(t.Context(), floor)); len(room.Seats) != 2 {
		t.Errorf("the second room %+v", room.Seats)
	}
}

// TestNamesGiveNothingAway: floor and kitchen get no name that is read, nor what is
// expected of it, and the assessor no code with it.
func TestNamesGiveNothingAway(t *testing.T) {
	n := newNight(t, expecting)
	ctx := t.Context()
	token := n.guest("one")
	hidden := []string{"CANARY-TITLE", "CANARY-HYPOTHESIS", "canaryA", "canaryB", "CANARY-DISH", "canarydish", "61.25",
		"brulee"}
	staff := forbidden{n, append([]string{nameA, nameB}, hidden...)}
	kitchen := forbidden{n, []string{nameA, nameB, "canaryA", "canaryB", "61.25", "brulee"}}
	lead := forbidden{n, []string{nameA, nameB, "canaryA", "canaryB", "61.25"}}
	look := func(step string) {
		t.Helper()
		b := ballot(t, n.svc, token)
		if b.Turn.Code != "" {
			t.Errorf("%s: a code beside a name", step)
		}
		forbidden{n, append([]string{nameA, nameB}, hidden...)}.in(step+": ballot", b, b.Turn.Name)
		staff.in(step+": room", n.room())
		staff.in(step+": floor's board", of[panel.Live](n)(n.svc.Live(ctx, n.floor, n.study)))
		kitchen.in(step+": sheet", of[panel.KitchenSheet](n)(n.svc.KitchenSheet(ctx, n.kitchen)))
		staff.in(step+": kitchen's board", of[panel.Live](n)(n.svc.Live(ctx, n.kitchen, n.study)))
		lead.in(step+": board", of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study)))
		lead.in(step+": log", of[panel.CheckedLog](n)(n.svc.Log(ctx, n.lead, n.study)).Entries)
		staff.in(step+": sealed", of[panel.Held](n)(n.svc.Ahead(ctx, token)).Ahead)
	}
	look("first name")
	n.read(token, "61.25")
	look("second name")
	if _, _, err := n.svc.Ratings(ctx, n.study); !isError(err, panel.ErrWrongState) {
		t.Errorf("ratings before close: %v", err)
	}
}
