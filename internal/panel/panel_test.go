package panel_test

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/store"
)

// custard is a study of two names for one dish, with two attributes.
const custard = `cloche: 1
title: CANARY-TITLE does a name change a custard?
question: names
hypothesis: CANARY-HYPOTHESIS
dishes:
  - {id: canarydish, title: CANARY-DISH, portion: 60 g, serve at: 55 °C, allergens: [milk, celery], also contains: ` +
	`[nutmeg]}
names:
  - {id: brulee, text: celeriac crème brûlée}
  - {id: royale, text: celeriac royale}
samples:
  - {id: canaryA, dish: canarydish, name: brulee}
  - {id: canaryB, dish: canarydish, name: royale}
attributes:
  - {id: salt, ask: How salty is it?, scale: {line: [not at all, extremely]}}
  - {id: liking, ask: How much do you like it?, scale: hedonic-9}
panel: {assessors: 4}
serving: {rinse: 30 s, plate gate: false, seed: 7}
texts:
  consent: I agree to taste.
  instructions: Taste, then rate.
  debrief: We compared two names.
analysis: {compare: [canaryA, canaryB], attribute: salt, test: paired-t, sides: two, alpha: 0.05}
`

// clock is a clock that tests set by hand.
type clock struct {
	mu sync.Mutex
	at time.Time
}

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.at
}

func (c *clock) pass(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = c.at.Add(d)
}

func newService(t *testing.T) (*panel.Service, *clock) {
	t.Helper()
	return newServiceOn(t, func(kept panel.Store) panel.Store { return kept })
}

// newServiceOn keeps everything in what on makes of a store.
func newServiceOn(t *testing.T, on func(panel.Store) panel.Store) (*panel.Service, *clock) {
	t.Helper()
	kept, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "test.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := kept.Close(); err != nil {
			t.Error(err)
		}
	})
	c := &clock{at: time.Date(2026, 11, 20, 19, 0, 0, 0, time.UTC)}
	svc, err := panel.New(t.Context(), on(kept), panel.Options{Now: c.now, HashCost: bcrypt.MinCost})
	if err != nil {
		t.Fatal(err)
	}
	return svc, c
}

// opened returns the id of an open study and the token of its join link.
func opened(t *testing.T, svc *panel.Service) (id panel.StudyID, join panel.JoinToken) {
	t.Helper()
	return openedFile(t, svc, custard)
}

func openedFile(t *testing.T, svc *panel.Service, file string) (id panel.StudyID, join panel.JoinToken) {
	t.Helper()
	stored, problems, err := svc.Upload(t.Context(), byLead, "study.yaml", []byte(file))
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	if err := svc.Lock(t.Context(), byLead, stored.ID, 1); err != nil {
		t.Fatal(err)
	}
	sitting, err := svc.OpenSitting(t.Context(), byLead, stored.ID)
	if err != nil {
		t.Fatal(err)
	}
	return stored.ID, sitting.Join
}

func consent(t *testing.T, svc *panel.Service, join panel.JoinToken, nonce string) panel.SeatToken {
	t.Helper()
	token, err := svc.Consent(t.Context(), join, nonce, panel.PhoneConsent{})
	if err != nil {
		t.Fatal(err)
	}
	return token
}

func ballot(t *testing.T, svc *panel.Service, token panel.SeatToken) panel.Ballot {
	t.Helper()
	b, err := svc.Ballot(t.Context(), token)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func rate(t *testing.T, svc *panel.Service, token panel.SeatToken, turn panel.TurnID, salt, liking string) {
	t.Helper()
	if _, err := svc.Submit(t.Context(), token, panel.Submission{ID: "page/" + string(turn), TurnID: turn,
		Given: map[string]string{"a1": salt, "a2": liking}}); err != nil {
		t.Fatal(err)
	}
}

func TestLockFixesStudySeedAndPlan(t *testing.T) {
	svc, _ := newService(t)
	stored, problems, err := svc.Upload(t.Context(), byLead, "custard.yaml", []byte(custard))
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	if err := svc.Lock(t.Context(), byLead, stored.ID, 1); err != nil {
		t.Fatal(err)
	}
	locked, err := svc.Study(t.Context(), stored.ID)
	if err != nil {
		t.Fatal(err)
	}
	plan, err := design.Draw(locked.Spec, design.Options{Seed: 7})
	if err != nil {
		t.Fatal(err)
	}
	if locked.State != panel.Locked || locked.Lock.Seed != 7 || locked.Lock.PlanHash != plan.Hash() ||
		len(locked.Lock.StudyHash) != 64 {
		t.Errorf("lock = %+v, want seed 7 and the hash of the plan drawn from it, %s", locked.Lock, plan.Hash())
	}
	if err := svc.Lock(t.Context(), byLead, stored.ID, 1); !errors.Is(err, panel.ErrWrongState) {
		t.Errorf("second lock: %v, want ErrWrongState", err)
	}
}

func TestUploadKeepsNothingWithMistakes(t *testing.T) {
	svc, _ := newService(t)
	_, problems, err := svc.Upload(t.Context(), byLead, "custard.yaml",
		[]byte(strings.Replace(custard, "question: names", "question: nmes", 1)))
	if err != nil || len(problems) != 1 || !strings.Contains(problems[0].Error(), "custard.yaml:3:") {
		t.Errorf("problems = %v, %v; want one on line 3", problems, err)
	}
	all, err := svc.Studies(t.Context())
	if err != nil || len(all) != 0 {
		t.Errorf("studies = %v, %v; want none", all, err)
	}
}

func TestBallotGoesFromInstructionsToThanks(t *testing.T) {
	svc, c := newService(t)
	id, join := opened(t, svc)
	token := consent(t, svc, join, "one")

	if b := ballot(t, svc, token); b.Stage != panel.StageInstructions || b.Instructions != "Taste, then rate." {
		t.Fatalf("first: %+v, want the instructions", b)
	}
	if err := svc.Start(t.Context(), token); err != nil {
		t.Fatal(err)
	}
	first := ballot(t, svc, token)
	if first.Stage != panel.StageServing || first.Turn.Number != 1 || first.Of != 2 || len(first.Turn.Code) != 3 {
		t.Fatalf("after the start: %+v, want serving 1 of 2 with a code", first)
	}
	rate(t, svc, token, first.Turn.ID, "40", "7")

	if b := ballot(t, svc, token); b.Stage != panel.StageRinse || b.Rinse != 30*time.Second || b.Next != 2 {
		t.Fatalf("after serving 1: %+v, want a rinse of 30 s before serving 2", b)
	}
	c.pass(30 * time.Second)
	second := ballot(t, svc, token)
	if second.Stage != panel.StageServing || second.Turn.Name == first.Turn.Name ||
		second.Turn.Code == first.Turn.Code {
		t.Fatalf("after the rinse: %+v, want the other name under another code", second)
	}
	rate(t, svc, token, second.Turn.ID, "55", "6")
	if b := ballot(t, svc, token); b.Stage != panel.StageDone || b.Debrief != "" {
		t.Fatalf("at the end: %+v, want thanks and no debrief before close", b)
	}
	if err := svc.Close(t.Context(), byLead, id); err != nil {
		t.Fatal(err)
	}
	if b := ballot(t, svc, token); b.Debrief != "We compared two names." {
		t.Errorf("after close: debrief %q", b.Debrief)
	}
}

func TestSendingTwiceDoesNoHarm(t *testing.T) {
	svc, c := newService(t)
	id, join := opened(t, svc)
	token := consent(t, svc, join, "one")
	if again := consent(t, svc, join, "one"); again != token {
		t.Error("the same consent form sent twice gave two links")
	}
	if err := svc.Start(t.Context(), token); err != nil {
		t.Fatal(err)
	}
	first := ballot(t, svc, token).Turn.ID
	rate(t, svc, token, first, "40", "7")
	rate(t, svc, token, first, "90", "1") // the back button, or a double tap
	c.pass(time.Minute)
	rate(t, svc, token, ballot(t, svc, token).Turn.ID, "55", "6")
	if err := svc.Close(t.Context(), byLead, id); err != nil {
		t.Fatal(err)
	}
	_, ratings, err := svc.Ratings(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	got := map[string][]float64{}
	for _, r := range ratings {
		got[string(r.Attribute)] = append(got[string(r.Attribute)], r.Value)
	}
	if want := map[string][]float64{"salt": {40, 55}, "liking": {7, 6}}; !reflect.DeepEqual(got, want) {
		t.Errorf("ratings = %v, want %v: the first answer stays", got, want)
	}
}

func TestAnswersMissingOrOffTheScaleAreGivenBack(t *testing.T) {
	svc, _ := newService(t)
	_, join := opened(t, svc)
	token := consent(t, svc, join, "one")
	if err := svc.Start(t.Context(), token); err != nil {
		t.Fatal(err)
	}
	serving := ballot(t, svc, token).Turn.ID
	tests := []struct {
		name, salt, liking string
		wrong              []string
	}{
		{"nothing touched", "", "", []string{"a1", "a2"}},
		{"line off its ends", "101", "5", []string{"a1"}},
		{"line not a number", "NaN", "5", []string{"a1"}},
		{"category between labels", "50", "5.5", []string{"a2"}},
		{"category above the last", "50", "10", []string{"a2"}},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			receipt, err := svc.Submit(t.Context(), token,
				panel.Submission{ID: "page/" + string(serving), TurnID: serving,
					Given: map[string]string{"a1": tc.salt, "a2": tc.liking}})
			var wrong *panel.AnswerError
			if !errors.As(err, &wrong) || len(wrong.Fields) != len(tc.wrong) {
				t.Fatalf("error = %v, want answers %v wrong", err, tc.wrong)
			}
			back := receipt.Back
			if back.Turn.Asks[0].Given != tc.salt || back.Turn.Asks[1].Given != tc.liking {
				t.Errorf("what was given is lost: %+v", back.Turn.Asks)
			}
		})
	}
	if b := ballot(t, svc, token); b.Turn.ID != serving {
		t.Error("a refused ballot moved on")
	}
}

func TestPlacesRunOut(t *testing.T) {
	svc, _ := newService(t)
	_, join := opened(t, svc)
	for i := range 4 {
		consent(t, svc, join, fmt.Sprint(i))
	}
	if _, err := svc.Consent(t.Context(), join, "late", panel.PhoneConsent{}); !errors.Is(err, panel.ErrFull) {
		t.Errorf("fifth of four: %v, want ErrFull", err)
	}
	w, err := svc.Welcome(t.Context(), join)
	if err != nil || !w.Full {
		t.Errorf("welcome = %+v, %v; want full", w, err)
	}
}

func TestTheKeyStaysShutUntilClose(t *testing.T) {
	svc, _ := newService(t)
	id, join := opened(t, svc)
	token := consent(t, svc, join, "one")
	if err := svc.Start(t.Context(), token); err != nil {
		t.Fatal(err)
	}
	rate(t, svc, token, ballot(t, svc, token).Turn.ID, "40", "7")
	if _, _, err := svc.Ratings(t.Context(), id); !errors.Is(err, panel.ErrWrongState) {
		t.Errorf("ratings of an open study: %v, want ErrWrongState", err)
	}
	if _, _, err := svc.Findings(t.Context(), id); !errors.Is(err, panel.ErrWrongState) {
		t.Errorf("findings of an open study: %v, want ErrWrongState", err)
	}
	_, p, err := svc.Progress(t.Context(), id)
	if want := (panel.Progress{Places: 4, Joined: 1, Servings: 1}); err != nil || p != want {
		t.Errorf("progress = %+v, %v; want %+v", p, err, want)
	}
	if err := svc.Close(t.Context(), byLead, id); err != nil {
		t.Fatal(err)
	}
	other := consentAfterClose(t, svc, join)
	if !errors.Is(other, panel.ErrNotOpen) {
		t.Errorf("consent after close: %v, want ErrNotOpen", other)
	}
}

func consentAfterClose(t *testing.T, svc *panel.Service, join panel.JoinToken) error {
	t.Helper()
	_, err := svc.Consent(t.Context(), join, "late", panel.PhoneConsent{})
	return err
}

func TestAssessorsSeeNoCanary(t *testing.T) {
	svc, c := newService(t)
	_, join := opened(t, svc)
	names := []string{"celeriac crème brûlée", "celeriac royale"}
	check := func(what string, v any, shown string) {
		t.Helper()
		text := fmt.Sprintf("%+v", v)
		if strings.Contains(strings.ToLower(text), "canary") {
			t.Errorf("%s holds a canary: %s", what, text)
		}
		for _, n := range names {
			if n != shown && strings.Contains(text, n) {
				t.Errorf("%s holds the name %q, shown is %q", what, n, shown)
			}
		}
	}
	w, err := svc.Welcome(t.Context(), join)
	if err != nil {
		t.Fatal(err)
	}
	check("welcome", w, "")
	token := consent(t, svc, join, "one")
	check("instructions", ballot(t, svc, token), "")
	if err := svc.Start(t.Context(), token); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		b := ballot(t, svc, token)
		check("serving", b, b.Turn.Name)
		_, err := svc.Submit(t.Context(), token, panel.Submission{ID: "page/" + string(b.Turn.ID), TurnID: b.Turn.ID,
			Given: nil})
		check("refusal", err, b.Turn.Name)
		rate(t, svc, token, b.Turn.ID, "1", "1")
		check("rinse or thanks", ballot(t, svc, token), "")
		c.pass(time.Minute)
	}
}

func TestPasswordIsSetOnceAndGuessingIsSlow(t *testing.T) {
	svc, c := newService(t)
	ctx := context.Background()
	if err := svc.SetPassword(ctx, "Ines", "short"); !errors.Is(err, panel.ErrWeak) {
		t.Errorf("short password: %v, want ErrWeak", err)
	}
	if err := svc.SetPassword(ctx, "Ines", "a long pass phrase"); err != nil {
		t.Fatal(err)
	}
	if err := svc.SetPassword(ctx, "Ines", "another pass phrase"); !errors.Is(err, panel.ErrPasswordSet) {
		t.Errorf("second password: %v, want ErrPasswordSet", err)
	}
	if _, err := svc.SignIn(ctx, "a wrong pass phrase", "phone"); !errors.Is(err, panel.ErrPassword) {
		t.Errorf("wrong password: %v, want ErrPassword", err)
	}
	if _, err := svc.SignIn(ctx, "a long pass phrase", "phone"); !errors.Is(err, panel.ErrSlowDown) {
		t.Errorf("at once after a wrong one: %v, want ErrSlowDown", err)
	}
	if _, err := svc.SignIn(ctx, "a long pass phrase", "elsewhere"); err != nil {
		t.Errorf("from elsewhere: %v, want to be let in", err)
	}
	c.pass(2 * time.Second)
	token, err := svc.SignIn(ctx, "a long pass phrase", "phone")
	if err != nil {
		t.Fatal(err)
	}
	if in, err := svc.SignedIn(ctx, token); !in || err != nil {
		t.Errorf("signed in = %v, %v", in, err)
	}
	c.pass(panel.SessionLength)
	if in, err := svc.SignedIn(ctx, token); in || err != nil {
		t.Errorf("after %v signed in = %v, %v", panel.SessionLength, in, err)
	}
}
