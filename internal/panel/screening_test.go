package panel_test

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// screened asks two questions before the first plate.
var screened = strings.NewReplacer("{assessors: 4}",
	`{assessors: 4, screening: [{id: senses}, {id: hungry, ask: Are you hungry?, leaves out: "no"}]}`,
	"alpha: 0.05}", "alpha: 0.05, stop after: 3, stop by: 2026-11-21}").Replace(custard)

var (
	counted = map[string]study.Reply{"s1": study.No, "s2": study.Yes}
	cold    = map[string]study.Reply{"s1": study.Yes, "s2": study.Yes}
)

func (n *night) screen(token panel.SeatToken, given map[string]study.Reply) bool {
	n.t.Helper()
	_, complete, err := n.svc.Screen(n.t.Context(), token, given)
	n.must(err)
	return complete
}

// tastes answers the screening questions and rates both servings.
func (n *night) tastes(nonce string, given map[string]study.Reply) panel.SeatToken {
	n.t.Helper()
	token := consent(n.t, n.svc, n.sitting.Join, nonce)
	if !n.screen(token, given) {
		n.t.Fatal("the answers are not complete")
	}
	n.must(n.svc.Start(n.t.Context(), token))
	n.taste(token)
	n.clock.pass(time.Minute)
	n.taste(token)
	return token
}

// Nobody tastes before the questions are answered, on a phone or with floor.
func TestScreeningComesBeforeThePlate(t *testing.T) {
	n, ctx := newNight(t, screened), t.Context()
	token := consent(t, n.svc, n.sitting.Join, "one")
	b := ballot(t, n.svc, token)
	if b.Stage != panel.StageScreening || len(b.Screening) != 2 || b.Screening[1].Text != "Are you hungry?" ||
		b.Instructions != "" {
		t.Fatalf("after consent: %+v", b)
	}
	n.must(n.svc.Start(ctx, token))
	if got := ballot(t, n.svc, token).Stage; got != panel.StageScreening {
		t.Errorf("stage %d after a start without answers", got)
	}
	if ahead := of[panel.Held](n)(n.svc.Ahead(ctx, token)).Ahead; len(ahead) != 0 {
		t.Errorf("%d servings held ahead before the questions are answered", len(ahead))
	}
	back, complete, err := n.svc.Screen(ctx, token, map[string]study.Reply{"s2": study.No})
	n.must(err)
	if complete || back.Screening[0].Problem != panel.NoChoice || back.Screening[1].Given != study.No ||
		back.Screening[1].Problem != "" {
		t.Errorf("half answered: %v %+v", complete, back.Screening)
	}
	if !n.screen(token, counted) || ballot(t, n.svc, token).Stage != panel.StageInstructions {
		t.Error("the answers do not lead to the instructions")
	}
	n.screen(token, cold) // again: the first answers stand
	read := panel.GuestConsent{AllergensRead: true, ConsentRead: true}
	n.wantError("a guest who was not asked", last(n.svc.SeatGuest(ctx, n.floor, "two", read)), panel.ErrNotRead)
	if asks := of[panel.GuestTexts](n)(n.svc.ConsentText(ctx, n.floor)).Screening; len(asks) != 2 {
		t.Errorf("floor asks %+v", asks)
	}
	read.Screening = cold
	n.wantError("a guest who was asked", last(n.svc.SeatGuest(ctx, n.floor, "two", read)), nil)
	n.must(n.svc.Close(ctx, byLead, n.study))
	_, all, err := n.svc.Collected(ctx, n.study)
	n.must(err)
	want := []analysis.Screened{{Assessor: "1", Question: "senses", Answer: "no"},
		{Assessor: "1", Question: "hungry", Answer: "yes"},
		{Assessor: "2", Question: "senses", Answer: "yes"}, {Assessor: "2", Question: "hungry", Answer: "yes"}}
	if diff := cmp.Diff(want, all.Screened); diff != "" {
		t.Errorf("kept (-want +got):\n%s", diff)
	}
	for _, e := range all.Events {
		if e.What == "screened" && e.Detail != "" {
			t.Errorf("the log says %q of the answers", e.Detail)
		}
	}
}

// The rule is applied to the findings, and who it leaves out is counted; what was
// said by somebody who withdrew is gone.
func TestScreeningLeavesOut(t *testing.T) {
	n, ctx := newNight(t, screened), t.Context()
	n.tastes("one", counted)
	n.tastes("two", cold)
	n.tastes("three", map[string]study.Reply{"s1": study.No, "s2": study.No})
	n.must(n.svc.Withdraw(ctx, n.tastes("four", cold)))
	n.must(n.svc.Close(ctx, byLead, n.study))
	_, found, err := n.svc.Findings(ctx, n.study)
	n.must(err)
	want := []analysis.Exclusion{{Reason: "withdrawn", Count: 1},
		{Reason: "said no to the screening question “hungry”",
			Count: 1}, {Reason: "said yes to the screening question “senses”", Count: 1}}
	if diff := cmp.Diff(want, found.Excluded); diff != "" {
		t.Errorf("left out (-want +got):\n%s", diff)
	}
	if found.Assessors != 1 || found.Findings[0].N != 1 {
		t.Errorf("%d assessors, %d pairs; want one", found.Assessors, found.Findings[0].N)
	}
	_, all, err := n.svc.Collected(ctx, n.study)
	n.must(err)
	if len(all.Screened) != 6 {
		t.Errorf("%d answers kept, want those of three people", len(all.Screened))
	}
}

// What happened is held against the rule for the end of tasting. An evening that
// goes on after midnight is still that day's.
func TestTastingEndsAsPlanned(t *testing.T) {
	t.Setenv("TZ", "UTC")
	for _, tc := range []struct {
		name  string
		tasts int
		after time.Duration // the last guest, after the first at 19:00 on 20 November
		close time.Duration // after that
		want  []string
	}{
		{"the number", 3, time.Hour, time.Hour, nil},
		{"the last day, after midnight", 3, 31 * time.Hour, 3 * time.Hour, nil},
		{"too early", 2, time.Hour, time.Hour, []string{analysis.WarnStoppedEarly}},
		{"fewer, by the last day", 2, time.Hour, 24 * time.Hour, []string{analysis.WarnFewerThanPlanned}},
		{"beyond the number", 4, time.Hour, time.Hour, []string{analysis.WarnMoreThanPlanned}},
		{"too late", 3, 48 * time.Hour, time.Hour, []string{analysis.WarnStoppedLate}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			n := newNight(t, screened)
			for i := range tc.tasts {
				if i == tc.tasts-1 {
					n.clock.pass(tc.after)
				}
				n.tastes(string(rune('a'+i)), counted)
			}
			n.clock.pass(tc.close)
			n.must(n.svc.Close(t.Context(), byLead, n.study))
			_, found, err := n.svc.Findings(t.Context(), n.study)
			n.must(err)
			var codes []string
			for _, d := range found.Stopping.Deviations {
				codes = append(codes, d.Code)
			}
			if diff := cmp.Diff(tc.want, codes); diff != "" || found.Stopping.Finished != tc.tasts {
				t.Errorf("%+v (-want +got):\n%s", found.Stopping, diff)
			}
			for _, code := range codes {
				if !strings.Contains(strings.Join(warningCodes(found.Warnings), " "), code) {
					t.Errorf("%s is not among the remarks %v", code, warningCodes(found.Warnings))
				}
			}
		})
	}
}

func warningCodes(list []analysis.Warning) (codes []string) {
	for _, w := range list {
		codes = append(codes, w.Code)
	}
	return codes
}
