package panel_test

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// rehearsed is a study in two languages with a pause, whose numbers a test may set.
const rehearsed = `cloche: 1
title: Two names for a custard
question: names
invented: true
dishes:
  - {id: custard, title: Warm custard, portion: 60 g, serve at: 55 °C, allergens: [milk, eggs]}
names:
  - {id: dessert, text: celeriac crème brûlée}
  - {id: savoury, text: celeriac royale}
samples:
  - {id: A, dish: custard, name: dessert}
  - {id: B, dish: custard, name: savoury}
attributes:
  - {id: salt, ask: How salty is it?, scale: {line: [not at all salty, extremely salty]}}
panel: {assessors: 12}
serving: {rinse: 30 s, plate gate: false, seed: 7}
texts: {consent: I agree., instructions: Take a spoonful., thanks: That was all., debrief: It was the same custard., ` +
	`comment: Anything else?}
analysis: {compare: [A, B], attribute: salt, test: paired-t, sides: two, alpha: 0.05, smallest effect: 5}
languages: [en, fr]
translations:
  fr:
    names: {dessert: crème brûlée au céleri-rave, savoury: royale de céleri-rave}
    attributes:
      salt: {ask: "À quel point est-ce salé ?", line: [pas du tout salé, extrêmement salé]}
    texts: {consent: J'accepte., instructions: Prenez une cuillerée., thanks: C'était tout., debrief: C'était la ` +
	`même crème., comment: Autre chose ?}
`

func askedOf(t *testing.T, file string) *study.Study {
	t.Helper()
	a, problems := study.Parse("study.yaml", []byte(file))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return a
}

// noon is when rehearsals begin.
var noon = time.Date(2026, 11, 20, 12, 0, 0, 0, time.UTC)

func stages(r panel.Rehearsal) string {
	var all []string
	for _, b := range r.Ballots {
		word := map[panel.Stage]string{panel.StageInstructions: "instructions", panel.StageNames: "name",
			panel.StageServing: "serving", panel.StageRinse: "rinse", panel.StageLater: "later",
			panel.StagePlate: "plate", panel.StageDone: "done"}[b.Stage]
		switch {
		case b.Debrief != "":
			word = "debrief"
		case !b.WithdrawUntil.IsZero():
			word = "closed"
		}
		all = append(all, word)
	}
	return strings.Join(all, " ")
}

func TestRehearsalShowsEachScreenInTurn(t *testing.T) {
	for _, tc := range []struct{ name, old, new, want string }{
		{"usual", "", "", "instructions serving rinse serving done debrief"},
		{"no pause", "rinse: 30 s", "rinse: 0 s", "instructions serving serving done debrief"},
		{"no debrief", "debrief: It was the same custard., ", "", "instructions serving rinse serving done closed"},
		{"no debrief, nothing taken out later", "assessors: 12", "assessors: 12, withdrawal days: 0",
			"instructions serving rinse serving done"},
		{"a warm-up", "rinse: 30 s", "rinse: 0 s, warm-up: A", "instructions serving serving serving done debrief"},
		{"names read first", "rinse: 30 s", "rinse: 0 s, expectation: true",
			"instructions name name serving serving done debrief"},
		{"two sittings", "panel: {assessors: 12}\nserving: {rinse: 30 s, ",
			"panel: {assessors: 12, sittings: 2}\nserving: {rinse: 30 s, most per sitting: 1, ",
			"instructions serving later serving done debrief"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			file := strings.Replace(rehearsed, tc.old, tc.new, 1)
			if strings.HasPrefix(tc.name, "no debrief") {
				file = strings.Replace(file, "debrief: It was the same custard., ", "", 1)
				file = strings.Replace(file, "debrief: C'était la même crème., ", "", 1)
			}
			r, err := panel.Rehearse(askedOf(t, file), "en", 3, noon)
			if err != nil {
				t.Fatal(err)
			}
			if got := stages(r); got != tc.want {
				t.Errorf("screens %s, want %s", got, tc.want)
			}
			for _, b := range r.Ballots {
				if b.Label != 4 || b.MayCorrect {
					t.Errorf("seat %d, may correct %t; want seat 4 without corrections", b.Label, b.MayCorrect)
				}
			}
		})
	}
}

func TestRehearsalSpeaksTheLanguagesOfTheStudy(t *testing.T) {
	r, err := panel.Rehearse(askedOf(t, rehearsed), "fr", 0, noon)
	if err != nil {
		t.Fatal(err)
	}
	if r.Welcome.Consent != "J'accepte." || r.Welcome.Language != "fr" || r.Welcome.Stand != panel.StandOpen ||
		r.Welcome.Allergens[0] == "" {
		t.Errorf("welcome %+v, want it in French and open", r.Welcome)
	}
	last := r.Ballots[len(r.Ballots)-1]
	names := r.Ballots[1].Turn.Name + ", " + r.Ballots[3].Turn.Name
	if !strings.Contains(names, "royale de céleri-rave") || !strings.Contains(names, "crème brûlée au céleri-rave") ||
		last.Debrief != "C'était la même crème." {
		t.Errorf("names %s, debrief %q; want them in French", names, last.Debrief)
	}
}

func TestRehearsalRefusesWhatIsNotThere(t *testing.T) {
	a := askedOf(t, rehearsed)
	for _, tc := range []struct {
		lang  string
		place int
	}{{"de", 0}, {"", 0}, {"en", -1}, {"en", 12}} {
		if _, err := panel.Rehearse(a, tc.lang, tc.place, noon); !errors.Is(err, panel.ErrNotFound) {
			t.Errorf("language %q, place %d: %v, want that there is none", tc.lang, tc.place, err)
		}
	}
	strange := *a
	strange.Question = "none"
	var notYet *panel.NotYetError
	if _, err := panel.Rehearse(&strange, "en", 0, noon); !errors.As(err, &notYet) {
		t.Errorf("no question: %v, want that it cannot be run yet", err)
	}
}

func TestRehearsalChecksAnswersAndKeepsNone(t *testing.T) {
	a := askedOf(t, rehearsed)
	r, err := panel.Rehearse(a, "en", 0, noon)
	if err != nil {
		t.Fatal(err)
	}
	back, ok, err := r.Answer(1, panel.Submission{TurnID: "1", Given: map[string]string{"a1": "101"},
		Comment: strings.Repeat("x", panel.MaxComment+1)})
	if err != nil || ok {
		t.Fatalf("a mark beyond the line: ok %t, %v", ok, err)
	}
	if v := back.Turn; v.Asks[0].Problem != panel.OffLine || v.Asks[0].Given != "101" || v.Problem != panel.TooLong ||
		v.GivenComment == "" || v.Code != r.Ballots[1].Turn.Code {
		t.Errorf("the ballot that comes back: %+v", v)
	}
	if _, ok, err = r.Answer(3, panel.Submission{Given: map[string]string{"a1": "40,5"},
		Comment: "good"}); err != nil || !ok {
		t.Errorf("a mark on the line: ok %t, %v", ok, err)
	}
	for _, i := range []int{-1, 0, 2, 99} {
		if _, _, err := r.Answer(i, panel.Submission{}); !errors.Is(err, panel.ErrNotFound) {
			t.Errorf("answers to ballot %d: %v, want that it asks for none", i, err)
		}
	}
	again, err := panel.Rehearse(a, "en", 0, noon)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(r.Ballots, again.Ballots) {
		t.Error("answers changed the rehearsal")
	}
	if b, err := r.Withdraw(2); err != nil || b.Stage != panel.StageWithdrawn {
		t.Errorf("taking answers out: stage %d, %v", b.Stage, err)
	}
	if b, err := r.Withdraw(len(r.Ballots) - 1); err != nil || b.Stage != panel.StageWithdrawn {
		t.Errorf("taking answers out after the close: stage %d, %v", b.Stage, err)
	}
}

// TestRehearsalKnowsNoSeed: a rehearsal is the same whatever the study's seed, so
// that it says nothing of the plan that is or will be fixed; and its plan is
// another one.
func TestRehearsalKnowsNoSeed(t *testing.T) {
	plain := askedOf(t, rehearsed)
	for _, seed := range []uint64{0, 7, 1 << 52} {
		a := *plain
		a.Serving.Seed, a.Serving.HasSeed = seed, true
		for place := range 12 {
			want, err := panel.Rehearse(plain, "en", place, noon)
			if err != nil {
				t.Fatal(err)
			}
			got, err := panel.Rehearse(&a, "en", place, noon)
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(got.Ballots, want.Ballots) {
				t.Errorf("with seed %d, place %d sees another rehearsal", seed, place)
			}
		}
	}
	usual, err := panel.RehearsalPlan(plain, 12)
	if err != nil {
		t.Fatal(err)
	}
	a := *plain
	a.Serving.Seed, a.Serving.HasSeed = usual.Seed, true
	plan, err := panel.RehearsalPlan(&a, 12)
	if err != nil || plan.Seed == a.Serving.Seed {
		t.Errorf("the plan of the rehearsal has the study's own seed (%v)", err)
	}
}

// TestRehearsalIsTheRealBallot holds each screen of a rehearsal against that of an
// assessor who goes through an open study: but for codes, order and ids, which are
// drawn anew, and for corrections, they are the same, to the moment until which answers
// can be taken out after the close.
func TestRehearsalIsTheRealBallot(t *testing.T) {
	for _, file := range []string{rehearsed, strings.Replace(rehearsed, "rinse: 30 s", "rinse: 30 s, expectation: true",
		1), strings.Replace(rehearsed, "assessors: 12", "assessors: 12, withdrawal days: 0", 1),
		strings.Replace(rehearsed, "assessors: 12", "assessors: 12, withdrawal days: 31", 1)} {
		holdAgainstReal(t, file)
	}
}

func holdAgainstReal(t *testing.T, file string) {
	t.Helper()
	svc, clock := newService(t)
	ctx := panel.Speaking(t.Context(), "fr")
	id, join := openedFile(t, svc, file)
	w, err := svc.Welcome(ctx, join)
	if err != nil {
		t.Fatal(err)
	}
	r, err := panel.Rehearse(askedOf(t, file), "fr", 0, clock.now())
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(r.Welcome, w) {
		t.Errorf("rehearsed welcome %+v\nreal one %+v", r.Welcome, w)
	}
	token := consent(t, svc, join, "a-nonce-of-a-guest-1")
	for i, rehearsed := range r.Ballots {
		if rehearsed.Debrief != "" {
			if err := svc.Close(ctx, byLead, id); err != nil {
				t.Fatal(err)
			}
		}
		real, err := svc.Ballot(ctx, token)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := fmt.Sprintf("%+v", undrawn(rehearsed)), fmt.Sprintf("%+v", undrawn(real)); got != want {
			t.Errorf("screen %d\nrehearsed %s\nreal      %s", i, got, want)
		}
		switch real.Stage {
		case panel.StageInstructions:
			err = svc.Start(ctx, token)
		case panel.StageServing, panel.StageNames:
			_, err = svc.Submit(ctx, token, panel.Submission{ID: "page/" + string(real.Turn.ID), TurnID: real.Turn.ID,
				Given: map[string]string{"a1": "50"}})
		case panel.StageRinse:
			clock.pass(30 * time.Second)
		default:
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

// undrawn takes out of a ballot what is drawn.
func undrawn(b panel.Ballot) panel.Ballot {
	b.MayCorrect = false
	b.Turn.ID, b.Turn.Code, b.Turn.Name, b.Turn.Plates = "", "", "", nil
	return b
}
