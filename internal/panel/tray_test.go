package panel_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// trays is a duo-trio test of two trays each, after a warm-up: of the three plates of a
// tray one is the reference.
const trays = `cloche: 1
title: CANARY-TITLE the house custard?
question: duo-trio
hypothesis: CANARY-HYPOTHESIS
dishes:
  - {id: canarydish1, title: CANARY-ONE, portion: 30 g, serve at: 55 °C, allergens: [milk]}
  - {id: canarydish2, title: CANARY-TWO, portion: 30 g, serve at: 55 °C, allergens: [celery]}
samples:
  - {id: canaryA, dish: canarydish1, blind: true}
  - {id: canaryB, dish: canarydish2, blind: true}
panel: {assessors: 4}
serving: {rinse: 30 s, seed: 5, replicates: 2, warm-up: canaryA, spare codes: 4}
texts:
  consent: I agree to taste.
  instructions: Taste in the order shown.
  comment: What did you notice?
`

// choose submits a choice, and whatever else is in sub, for the turn that is due.
func (n *night) choose(token panel.SeatToken, id, choice string) (panel.Receipt, error) {
	n.t.Helper()
	b := ballot(n.t, n.svc, token)
	return n.svc.Submit(n.t.Context(), token, panel.Submission{ID: id, TurnID: b.Turn.ID,
		Given: map[string]string{"choice": choice}, Comment: "noted"})
}

func codesOf(plates []panel.BallotPlate) (codes []design.Code) {
	for _, p := range plates {
		codes = append(codes, p.Code)
	}
	return codes
}

// TestATrayIsAnsweredWhole goes through an assessor's evening of trays on a phone.
func TestATrayIsAnsweredWhole(t *testing.T) {
	n := newNight(t, trays)
	token := consent(t, n.svc, n.sitting.Join, "one")
	if b := ballot(t, n.svc, token); b.Stage != panel.StageInstructions || b.Of != 2 || b.Together != 3 ||
		!b.AloneFirst {
		t.Fatalf("instructions %+v, want two turns of three servings, and one plate first", b)
	}
	n.must(n.svc.Start(t.Context(), token))
	warm := ballot(t, n.svc, token)
	if len(warm.Turn.Plates) != 1 || len(warm.Turn.Asks) != 0 || warm.Turn.AskComment != "" {
		t.Fatalf("the warm-up asks %+v", warm.Turn)
	}
	if r, err := n.choose(token, "warm", ""); err != nil || r.Outcome != panel.Recorded || r.Comment != "" {
		t.Fatalf("the warm-up: %+v, %v", r, err)
	}
	if b := ballot(t, n.svc, token); b.MayCorrect {
		t.Error("a warm-up that asked nothing can be changed")
	}
	n.clock.pass(30e9)
	b := ballot(t, n.svc, token).Turn
	if len(b.Plates) != 3 || !b.Plates[0].Known || b.Plates[1].Known || b.Plates[2].Known || b.Number != 1 ||
		b.Of != 2 || b.Name != "" {
		t.Fatalf("the first tray %+v, want its reference first", b)
	}
	ask := b.Asks[0]
	if len(b.Asks) != 1 || ask.Text != "Which of the other two is the same as the first?" || ask.None != "" ||
		!slices.Equal(ask.Plates, b.Plates) || ask.FirstInput() != "choice-2" {
		t.Errorf("it asks %+v", b.Asks)
	}
	for given, want := range map[string]panel.Problem{"": panel.NoChoice, "0": panel.OffList, "1": panel.OffList,
		"4": panel.OffList, string(b.Plates[1].Code): panel.OffList} {
		r, err := n.choose(token, "wrong "+given, given)
		var wrong *panel.AnswerError
		if !errors.As(err, &wrong) || wrong.Fields["choice"] != want || r.Back.Turn.Asks[0].Given != given {
			t.Errorf("choice %q: %+v, %v; want %s", given, r.Back.Turn.Asks, err, want)
		}
	}
	if r, err := n.choose(token, "first", "2"); err != nil || r.Outcome != panel.Recorded || r.Held["choice"] != "2" ||
		r.Comment != "noted" {
		t.Fatalf("a choice: %+v, %v", r, err)
	}
	held := of[panel.BallotTurn](n)(n.svc.Correctable(t.Context(), token))
	if held.ID != b.ID || held.Asks[0].Given != "2" || held.GivenComment != "noted" {
		t.Errorf("to be changed: %+v", held)
	}
	r := of[panel.Receipt](n)(n.svc.Submit(t.Context(), token,
		panel.Submission{ID: "changed", TurnID: b.ID, Given: map[string]string{"choice": "3"}}))
	if r.Outcome != panel.Corrected || r.Held["choice"] != "3" {
		t.Errorf("a change: %+v", r)
	}
	n.clock.pass(30e9)
	last := ballot(t, n.svc, token).Turn
	n.must(second(n.choose(token, "last", "2")))
	if b := ballot(t, n.svc, token); b.Stage != panel.StageDone {
		t.Errorf("stage %d after the last tray", b.Stage)
	}
	n.wantChoices(map[int][2]string{2: {string(b.Plates[1].Code) + "=0", string(b.Plates[2].Code) + "=1"},
		3: {string(last.Plates[1].Code) + "=1", string(last.Plates[2].Code) + "=0"}})
}

func second[A any](_ A, err error) error { return err }

// wantChoices closes the study, and compares the choices of its first assessor by turn.
func (n *night) wantChoices(want map[int][2]string) {
	n.t.Helper()
	got := map[int][]string{}
	c := n.closed()
	for _, a := range c.Answers {
		if a.Place != 0 || a.Attribute != study.ChoiceAnswer || a.Role != design.Rated || a.Position == 0 ||
			a.Sample == "" {
			n.t.Errorf("an answer %+v", a)
		}
		got[a.Turn] = append(got[a.Turn], fmt.Sprintf("%s=%g", a.Code, a.Value))
	}
	if len(got) != len(want) {
		n.t.Errorf("choices %v, want %v", got, want)
	}
	for turn, choices := range want {
		if !slices.Equal(got[turn], choices[:]) {
			n.t.Errorf("turn %d: choices %v, want %v", turn, got[turn], choices)
		}
	}
}

// TestATrayOpensUnderAllItsCodes: in whatever order they are typed, and under no fewer.
func TestATrayOpensUnderAllItsCodes(t *testing.T) {
	n := newNight(t, trays)
	ctx, token := t.Context(), n.guest("one")
	held := of[panel.Held](n)(n.svc.Ahead(ctx, token))
	if len(held.Ahead) != 2 || held.Ahead[0].Plates != 3 || held.Ahead[1].Plates != 3 {
		t.Fatalf("ahead %+v, want two trays of three", held.Ahead)
	}
	sheet := of[panel.KitchenSheet](n)(n.svc.KitchenSheet(ctx, n.kitchen))
	sealed := held.Ahead[1]
	key, codes := panel.PlateCodes(""), []design.Code(nil)
	for _, p := range sheet.Waves[2].Plates {
		if _, err := openSeal(sealed, p.Tray); err == nil {
			key, codes = p.Tray, append(codes, p.Code)
		}
	}
	if len(codes) != 3 || key != panel.PlateCodes(typed(sorted(codes))) {
		t.Fatalf("codes %q open the seal of a tray of %q", key, codes)
	}
	for _, fewer := range []string{typed(codes[:1]), typed(codes[:2]), strings.ReplaceAll(typed(codes), " ", "")} {
		if _, err := openSeal(sealed, fewer); err == nil {
			t.Errorf("%q opens the tray of %q", fewer, codes)
		}
	}
	slices.Reverse(codes)
	early := panel.Submission{ID: "early", TurnID: sealed.ID, Code: typed(codes[:2]),
		Given: map[string]string{"choice": "2"}}
	n.wantError("without all codes", second(n.svc.Submit(ctx, token, early)), panel.ErrNotFound)
	early.Code = typed(codes)
	if r := of[panel.Receipt](n)(n.svc.Submit(ctx, token, early)); r.Outcome != panel.Recorded {
		t.Errorf("with all codes in another order: %s", r.Outcome)
	}
	for _, a := range of[panel.RoomAhead](n)(n.svc.RoomAhead(ctx, n.floor)).Seats[0].Ahead {
		if a.Plates != 3 {
			t.Errorf("floor holds %+v", a)
		}
	}
	asks := of[panel.RoomAhead](n)(n.svc.RoomAhead(ctx, n.floor)).In["en"].Asks
	if len(asks[study.ChooseOne]) != 1 || asks[study.ChooseOne][0].Plates != nil || len(asks[study.TasteOnly]) != 0 {
		t.Errorf("floor asks %+v", asks)
	}
}

func sorted(codes []design.Code) []design.Code { return slices.Sorted(slices.Values(codes)) }

// typed are codes as somebody types them.
func typed(codes []design.Code) string { return strings.Trim(fmt.Sprint(codes), "[]") }

// TestFloorServesATray sets a tray down, drops one plate of it and takes both back.
func TestFloorServesATray(t *testing.T) {
	n := newNight(t, trays)
	ctx, none, token := t.Context(), panel.PhoneAct{}, n.guest("one")
	n.must(second(n.choose(token, "warm", "")))
	n.clock.pass(30e9)
	now := n.seat(1).Next
	codes := codesOf(ballot(t, n.svc, token).Turn.Plates)
	if len(now.Plates) != 3 || now.Plates[0].Code != codes[0] || now.Plates[2].Code != codes[2] ||
		!now.Plates[0].Known || now.Code != panel.PlateCodes(typed(sorted(codes))) {
		t.Fatalf("to take out %+v, on the phone %q", now, codes)
	}
	if s := n.seat(1); s.Over != 1 || s.Of != 7 {
		t.Errorf("%d of %d servings over", s.Over, s.Of)
	}
	one := panel.PhoneAct{ID: "x", Code: panel.PlateCodes(codes[0])}
	n.wantError("under one code", n.svc.Serve(ctx, n.floor, now.ID, one), panel.ErrOtherCode)
	n.must(n.svc.Serve(ctx, n.floor, now.ID, panel.PhoneAct{ID: "y", Code: now.Code}))
	if s := n.seat(1); s.State != panel.SeatTasting || !s.Next.Served {
		t.Errorf("after it was set down %+v", s)
	}
	n.wantPlate(codes[1], panel.PlateServed)
	fresh := of[panel.FloorPlate](n)(n.svc.Drop(ctx, n.floor, now.Plates[1].ID,
		panel.PhoneAct{ID: "drop", Code: panel.PlateCodes(codes[1])}))
	s := n.seat(1)
	if s.State != panel.SeatWaiting || s.Next.Served || !s.Next.Plates[0].Served || s.Next.Plates[1].Served ||
		s.Next.Plates[1].Code != fresh.Code || s.Next.Plates[1].Was != codes[1] {
		t.Errorf("after one plate was dropped %+v", s)
	}
	n.wantPlate(codes[0], panel.PlateServed)
	n.wantPlate(fresh.Code, panel.PlateNow)
	want := []design.Code{codes[0], fresh.Code, codes[2]}
	if b := ballot(t, n.svc, token); !slices.Equal(codesOf(b.Turn.Plates), want) {
		t.Errorf("the phone shows %q", codesOf(b.Turn.Plates))
	}
	back := of[panel.FloorPlate](n)(n.svc.TakeBackDrop(ctx, n.floor, now.Plates[1].ID, none))
	if s := n.seat(1); back.Code != codes[1] || s.State != panel.SeatTasting {
		t.Errorf("after that was taken back %+v, %+v", back, s)
	}
	n.must(n.svc.TakeBack(ctx, n.floor, now.ID, none))
	if s := n.seat(1); s.State != panel.SeatWaiting || s.Next.Plates[0].Served {
		t.Errorf("after the tray was taken back %+v", s)
	}
	n.wantLogged(fmt.Sprintf("floor 1: served: assessor 1, tray 1, codes %s", now.Code))
	n.wantLogged(fmt.Sprintf("floor 1: dropped: assessor 1, serving 1, code %s", codes[1]))
	entered := panel.Submission{ID: "f", TurnID: now.ID, Given: map[string]string{"choice": "3"}}
	form := of[panel.BallotTurn](n)(n.svc.FloorBallot(ctx, n.floor, now.ID, ""))
	if len(form.Plates) != 3 || len(form.Asks) != 1 {
		t.Errorf("floor's form %+v", form)
	}
	if r := of[panel.Receipt](n)(n.svc.Enter(ctx, n.floor, entered)); r.Outcome != panel.Recorded ||
		r.Held["choice"] != "3" {
		t.Errorf("entered: %+v", r)
	}
	n.clock.pass(30e9)
	n.must(n.svc.Refuse(ctx, n.floor, n.seat(1).Next.ID, none))
	live := of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study)).Sittings[0]
	// The warm-up and the reference were not set down either; they are not rated.
	if live.Rated != 2 || live.Expected != 4 || live.Refused != 3 || live.NotSetDown != 2 || live.Finished != 1 {
		t.Errorf("the board %+v; want 2 of 4 servings, 3 refused, 2 not set down, 1 finished", live)
	}
}

// wantPlate checks where the plate of a code stands, in whatever wave.
func (n *night) wantPlate(code design.Code, want panel.PlateState) {
	n.t.Helper()
	for _, w := range of[panel.KitchenSheet](n)(n.svc.KitchenSheet(n.t.Context(), n.kitchen)).Waves {
		for _, p := range w.Plates {
			if p.Code == code && p.State != want {
				n.t.Errorf("plate %s is %s, want %s", code, p.State, want)
			}
		}
	}
}

// TestKitchenPlatesTrays: every serving of a turn counts, and those of a tray stand
// together in the order in which they go out.
func TestKitchenPlatesTrays(t *testing.T) {
	n := newNight(t, trays)
	token := n.guest("one")
	n.must(second(n.choose(token, "warm", "")))
	n.clock.pass(30e9)
	codes := codesOf(ballot(t, n.svc, token).Turn.Plates)
	sheet := of[panel.KitchenSheet](n)(n.svc.KitchenSheet(t.Context(), n.kitchen))
	if len(sheet.Waves) != 3 || !sheet.Waves[0].WarmUp || sheet.Waves[1].WarmUp || len(sheet.Waves[0].Plates) != 4 ||
		len(sheet.Waves[1].Plates) != 12 {
		t.Fatalf("waves %+v, want a warm-up of 4 plates and two waves of 12", sheet.Waves)
	}
	all := 0
	for _, d := range sheet.Dishes {
		all += d.Portions
	}
	if all != 4*7 {
		t.Errorf("%d portions, want 28", all)
	}
	wave := sheet.Waves[1]
	i := slices.IndexFunc(wave.Plates, func(p panel.KitchenPlate) bool { return p.Code == codes[0] })
	for k, code := range codes {
		p := wave.Plates[i+k]
		if p.Code != code || p.At != k+1 || p.Known != (k == 0) || p.State != panel.PlateNow ||
			p.Tray != panel.PlateCodes(typed(sorted(codes))) {
			t.Errorf("plate %d of the tray of %q is %+v", k+1, codes, p)
		}
	}
	labels := of[panel.CodeLabels](n)(n.svc.CodeLabels(t.Context(), n.kitchen))
	i = slices.Index(labels.Waves[1], codes[0])
	if len(labels.Waves[1]) != 12 || !slices.Equal(labels.Waves[1][i:i+3], codes) {
		t.Errorf("labels %q, want those of a tray as they stand: %q", labels.Waves[1], codes)
	}
	if counted := wave.Counts[0].All + wave.Counts[1].All; counted != 12 {
		t.Errorf("%d plates counted", counted)
	}
}

// TestATrayKeepsTheBlind reads all that floor and guest can fetch of a tray.
func TestATrayKeepsTheBlind(t *testing.T) {
	n := newNight(t, trays)
	ctx, token := t.Context(), n.guest("one")
	hidden := forbidden{n, []string{"CANARY", "canary"}}
	n.must(second(n.choose(token, "warm", "")))
	n.clock.pass(30e9)
	hidden.in("ballot", ballot(t, n.svc, token))
	hidden.in("held", of[panel.Held](n)(n.svc.Ahead(ctx, token)))
	hidden.in("room", n.room())
	hidden.in("room ahead", of[panel.RoomAhead](n)(n.svc.RoomAhead(ctx, n.floor)))
	hidden.in("floor's form", of[panel.BallotTurn](n)(n.svc.FloorBallot(ctx, n.floor, n.seat(1).Next.ID, "")))
	hidden.in("labels", of[panel.CodeLabels](n)(n.svc.CodeLabels(ctx, n.kitchen)))
	_, err := n.choose(token, "wrong", "9")
	hidden.in("refusal", err)
}

// TestARehearsalOfTrays is the real ballot of one.
func TestARehearsalOfTrays(t *testing.T) {
	asked, problems := study.Parse("study.yaml", []byte(trays))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	r, err := panel.Rehearse(asked, "en", 0, noon)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(r.Ballots, func(b panel.Ballot) bool { return len(b.Turn.Plates) == 3 })
	if back, ok, err := r.Answer(i, panel.Submission{Given: map[string]string{"choice": "1"}}); err != nil || ok ||
		back.Turn.Asks[0].Problem != panel.OffList {
		t.Errorf("the reference was chosen: %+v, %v, %v", back.Turn.Asks, ok, err)
	}
	if _, ok, err := r.Answer(i, panel.Submission{Given: map[string]string{"choice": "3"}}); err != nil || !ok {
		t.Errorf("a choice: %v, %v", ok, err)
	}
}
