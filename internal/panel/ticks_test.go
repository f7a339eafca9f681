package panel_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/panel"
)

// TestWordsAreRunToTheirAnswer: people tick words on their phones and through floor; the
// answer counts who ticked which for which sample, whatever the order on the page.
func TestWordsAreRunToTheirAnswer(t *testing.T) {
	n := newNight(t, studyFile(t, "custard-in-words"))
	_, plan, err := n.svc.Preview(t.Context(), n.study)
	n.must(err)
	want := map[string]int{}
	orders := map[string]bool{}
	for i := range 8 {
		token := n.guest(fmt.Sprint(i))
		for turn := range plan.Turns(i) {
			n.clock.pass(time.Minute)
			b := ballot(t, n.svc, token)
			if b.Stage != panel.StageServing || len(b.Turn.Asks) != 2 || !b.Turn.Asks[1].Ticks() ||
				b.Turn.Asks[1].Text != "Which of these words fit? Tick all that do." {
				t.Fatalf("the ballot %+v", b)
			}
			ask := b.Turn.Asks[1]
			orders[strings.Join(ask.Labels, " ")] = true
			at := slices.Index(ask.Labels, "of celery")
			if len(ask.Labels) != 12 || len(ask.Values) != 12 || ask.Values[at] != 8 ||
				ask.FirstInput() != fmt.Sprintf("a2-%d", ask.Values[0]) {
				t.Fatalf("the words %v, %v", ask.Labels, ask.Values)
			}
			given, sample := "0", string(plan.Samples[turn.Servings[0].Sample])
			if i%2 == 0 || sample == "C" {
				given = "1 8"
				want[sample]++
			}
			sub := panel.Submission{ID: fmt.Sprint(b.Turn.ID), TurnID: b.Turn.ID, Given: map[string]string{"a1": "7",
				"a2": given}}
			if i%3 == 0 {
				n.must(last(n.svc.Enter(t.Context(), n.floor, sub)))
				continue
			}
			if r := of[panel.Receipt](n)(n.svc.Submit(t.Context(), token, sub)); r.Held["a2"] != given ||
				r.Held["a1"] != "7" {
				t.Errorf("held %+v", r.Held)
			}
			back, err := n.svc.Correctable(t.Context(), token)
			n.must(err)
			if x := back.Asks[1]; x.Given != given || x.Ticked(8) != (given != "0") || x.Ticked(0) != (given == "0") {
				t.Errorf("to be corrected %q, given %q", x.Given, given)
			}
		}
	}
	if len(orders) < 8 {
		t.Errorf("%d orders of the words for 24 servings", len(orders))
	}
	n.closed()
	_, found, err := n.svc.Findings(t.Context(), n.study)
	n.must(err)
	f := found.Findings[0]
	if f.Kind != analysis.KindWords || f.N != 8 {
		t.Fatalf("found %s of %d", f.Kind, f.N)
	}
	for j, id := range f.Comparison {
		w := f.Words.Words[7]
		if w.Word != "of celery" || w.Ticked[j] != want[string(id)] || f.Words.None[j] != 8-want[string(id)] {
			t.Errorf("%s of sample %s: %d ticked, %d none; want %d", w.Word, id, w.Ticked[j], f.Words.None[j],
				want[string(id)])
		}
	}
}

// TestTicksWithoutAnAnswerAreRefused: nothing ticked is no answer until the guest says that
// no word fits; the form comes back as it was filled in.
func TestTicksWithoutAnAnswerAreRefused(t *testing.T) {
	n := newNight(t, studyFile(t, "custard-in-words"))
	token := n.guest("a")
	b := ballot(t, n.svc, token)
	for _, tc := range []struct {
		given string
		want  panel.Problem
	}{
		{"", panel.NoTick}, {"0 3", panel.BothTick}, {"13", panel.OffList}, {"-1", panel.OffList}, {"x", panel.OffList},
		{"1 2 99", panel.OffList},
	} {
		sub := panel.Submission{ID: "no " + tc.given, TurnID: b.Turn.ID, Given: map[string]string{"a1": "5",
			"a2": tc.given}}
		r, err := n.svc.Submit(t.Context(), token, sub)
		var wrong *panel.AnswerError
		if !errors.As(err, &wrong) || wrong.Fields["a2"] != tc.want || r.Back.Turn.Asks[1].Given != tc.given {
			t.Errorf("%q: %v; want %s", tc.given, err, tc.want)
		}
	}
	if got := ballot(t, n.svc, token); got.Stage != panel.StageServing || got.Turn.ID != b.Turn.ID {
		t.Errorf("after refusals the ballot is at %v", got.Stage)
	}
}
