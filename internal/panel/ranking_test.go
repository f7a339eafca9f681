package panel_test

import (
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/panel"
)

func studyFile(t *testing.T, name string) string {
	t.Helper()
	file, err := os.ReadFile("../../studies/" + name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(file)
}

// TestRankingIsRunToItsAnswer: people put four plates in an order on their phones and
// through floor; the answer counts their places by sample.
func TestRankingIsRunToItsAnswer(t *testing.T) {
	for name, ask := range map[string]string{"four-crusts": "Put these in order: the one you like most first.",
		"salt-in-order": "Put these in order, the saltiest first."} {
		t.Run(name, func(t *testing.T) {
			n := newNight(t, studyFile(t, name))
			_, plan, err := n.svc.Preview(t.Context(), n.study)
			n.must(err)
			want := map[string]int{}
			for i := range 10 {
				token := n.guest(fmt.Sprint(i))
				b := ballot(t, n.svc, token)
				if asks := b.Turn.Asks; len(b.Turn.Plates) != 4 || len(asks) != 1 || !asks[0].Rank ||
					asks[0].Text != ask ||
					len(asks[0].Plates) != 4 {
					t.Fatalf("the ballot %+v", b.Turn)
				}
				places := []string{"2", "4", "1", "3"}
				if i%3 == 0 {
					places = []string{"1", "2", "3", "4"}
				}
				for turn := range plan.Turns(i) {
					for k, v := range turn.Servings {
						place, _ := strconv.Atoi(places[k])
						want[string(plan.Samples[v.Sample])] += place
					}
				}
				given := strings.Join(places, " ")
				sub := panel.Submission{ID: "x", TurnID: b.Turn.ID, Given: map[string]string{"rank": given}}
				if i%2 == 0 {
					if r := of[panel.Receipt](n)(n.svc.Submit(t.Context(), token, sub)); r.Held["rank"] != given {
						t.Errorf("held %+v", r.Held)
					}
					continue
				}
				n.must(last(n.svc.Enter(t.Context(), n.floor, sub)))
			}
			n.closed()
			_, found, err := n.svc.Findings(t.Context(), n.study)
			n.must(err)
			f := found.Findings[0]
			if f.Kind != analysis.KindRanking || f.N != 10 {
				t.Fatalf("found %s of %d", f.Kind, f.N)
			}
			for _, x := range f.Ranking.Samples {
				if x.Sum != want[string(x.Sample)] {
					t.Errorf("sample %s has the rank sum %d, want %d", x.Sample, x.Sum, want[string(x.Sample)])
				}
			}
		})
	}
}

// TestOrdersWithGapsOrDoublesAreRefused: nothing of it is kept, and the form comes back as
// it was filled in.
func TestOrdersWithGapsOrDoublesAreRefused(t *testing.T) {
	n := newNight(t, studyFile(t, "four-crusts"))
	token := n.guest("a")
	b := ballot(t, n.svc, token)
	for _, tc := range []struct {
		given string
		want  panel.Problem
	}{
		{"", panel.NoPlace}, {"1 2 3", panel.NoPlace}, {"1 0 3 4", panel.NoPlace}, {"1 2 2 4", panel.OnePlace},
		{"1 2 3 5", panel.OffList}, {"1 2 3 -4", panel.OffList}, {"1 2 3 x", panel.OffList},
		{"1 2 3 4 5", panel.OffList}, {"1 1 1 1", panel.OnePlace},
	} {
		sub := panel.Submission{ID: "no " + tc.given, TurnID: b.Turn.ID, Given: map[string]string{"rank": tc.given}}
		r, err := n.svc.Submit(t.Context(), token, sub)
		var wrong *panel.AnswerError
		if !errors.As(err, &wrong) || wrong.Fields["rank"] != tc.want || r.Back.Turn.Asks[0].Given != tc.given {
			t.Errorf("%q: %v, back %q; want %s", tc.given, err, r.Back.Turn.Asks[0].Given, tc.want)
		}
	}
	if got := ballot(t, n.svc, token); got.Stage != panel.StageServing || got.Turn.ID != b.Turn.ID {
		t.Errorf("after refusals the ballot is at %v", got.Stage)
	}
}

// TestAnOrderIsCorrected: the answers that stand come back by plate, and others take
// their place.
func TestAnOrderIsCorrected(t *testing.T) {
	n := newNight(t, studyFile(t, "four-crusts"))
	token := n.guest("a")
	turn := ballot(t, n.svc, token).Turn.ID
	for i, given := range []string{"4 3 1 2", "1 2 4 3"} {
		r := of[panel.Receipt](n)(n.svc.Submit(t.Context(), token,
			panel.Submission{ID: fmt.Sprint(i), Seq: i + 1, TurnID: turn,
				Given: map[string]string{"rank": given}}))
		back, err := n.svc.Correctable(t.Context(), token)
		n.must(err)
		if r.Held["rank"] != given || back.Asks[0].Given != given || back.Asks[0].PlaceOf(2) != given[4:5] {
			t.Errorf("held %v, to be corrected %q; want %q", r.Held, back.Asks[0].Given, given)
		}
	}
}

// TestSortingIntoPairsIsRunToItsAnswer: people say which plate goes with the first; who
// pairs the two of one sample is right.
func TestSortingIntoPairsIsRunToItsAnswer(t *testing.T) {
	n := newNight(t, studyFile(t, "two-creams"))
	_, plan, err := n.svc.Preview(t.Context(), n.study)
	n.must(err)
	right := 0
	for i := range 12 {
		token := n.guest(fmt.Sprint(i))
		b := ballot(t, n.svc, token)
		if x := b.Turn.Asks[0]; !x.Pairs || len(x.Plates) != 4 || !x.Plates[0].Known || x.FirstInput() != "pairs-2" ||
			b.Turn.Plates[0].Known {
			t.Fatalf("the ballot %+v", b.Turn)
		}
		if i == 0 {
			for given, want := range map[string]panel.Problem{"": panel.NoChoice, "1": panel.OffList,
				"5": panel.OffList} {
				_, err := n.svc.Submit(t.Context(), token, panel.Submission{ID: "no" + given, TurnID: b.Turn.ID,
					Given: map[string]string{"pairs": given}})
				var wrong *panel.AnswerError
				if !errors.As(err, &wrong) || wrong.Fields["pairs"] != want {
					t.Errorf("%q: %v, want %s", given, err, want)
				}
			}
		}
		given := i%3 + 2
		for turn := range plan.Turns(i) {
			right += b2i(pairedRight(turn, given))
		}
		sub := panel.Submission{ID: "x", TurnID: b.Turn.ID, Given: map[string]string{"pairs": fmt.Sprint(given)}}
		if i%2 == 0 {
			if r := of[panel.Receipt](n)(n.svc.Submit(t.Context(), token, sub)); r.Held["pairs"] != fmt.Sprint(given) {
				t.Errorf("held %v, want %d", r.Held, given)
			}
			continue
		}
		n.must(last(n.svc.Enter(t.Context(), n.floor, sub)))
	}
	n.closed()
	_, found, err := n.svc.Findings(t.Context(), n.study)
	n.must(err)
	if f := found.Findings[0]; f.N != 12 || f.Choice.Told == nil || f.Choice.Told.Right != right ||
		f.Choice.Chance != 1./3 {
		t.Errorf("found %+v of %d, want %d right", f.Choice.Told, f.N, right)
	}
}

func pairedRight(turn design.Turn, with int) bool {
	return turn.Servings[with-1].Sample == turn.Servings[0].Sample
}
