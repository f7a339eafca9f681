package panel_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/panel"
)

// looking is the custard with a look at 12 of 48 people, over three sittings.
var looking = strings.NewReplacer("panel: {assessors: 4}", "panel: {assessors: 48, sittings: 3}",
	"alpha: 0.05}", "alpha: 0.05, looks: [12]}").Replace(custard)

// everybody lets so many guests of the open sitting taste, with the first name a good deal saltier
// to each but for a little of their own.
func (n *night) everybody(from, to int, by float64) {
	n.t.Helper()
	_, plan, err := n.svc.Preview(n.t.Context(), n.study)
	n.must(err)
	for i := from; i < to; i++ {
		token := n.guest(fmt.Sprint(i))
		for turn := range plan.Turns(i) {
			b := ballot(n.t, n.svc, token)
			if b.Stage == panel.StageRinse {
				n.clock.pass(time.Minute)
				b = ballot(n.t, n.svc, token)
			}
			salt := 40.0 + float64(i%5)
			if plan.Samples[turn.Servings[0].Sample] == "canaryA" {
				salt += by + float64(i%3)
			}
			n.submit(token, panel.Submission{ID: "x" + string(b.Turn.ID), TurnID: b.Turn.ID}, fmt.Sprint(salt))
			n.clock.pass(time.Minute)
		}
	}
}

// A look is taken at the end of a sitting, once, when it is due; the lead learns whether to go
// on, the partner its numbers, everybody else nothing; and the finding stops there.
func TestALookIsTakenWhenItIsDue(t *testing.T) {
	for _, tc := range []struct {
		name    string
		by      float64
		told    panel.Decision
		stopped int
	}{{"clear", 20, panel.Enough, 1}, {"not clear", -1, panel.GoOn, 0}} {
		t.Run(tc.name, func(t *testing.T) {
			n := newNight(t, looking)
			partner := panel.Session{Role: panel.RolePartner}
			n.everybody(0, 7, tc.by)
			n.wantError("too few", last(n.svc.TakeLook(t.Context(), n.lead, n.study)), panel.ErrNoLook)
			n.everybody(7, 13, tc.by)
			waiting := n.guest("who still tastes")
			if b := ballot(t, n.svc, waiting); b.Stage != panel.StageServing {
				t.Fatalf("stage %d", b.Stage)
			}
			live := of[panel.Live](n)(n.svc.Live(t.Context(), n.lead, n.study))
			if live.Looks == nil || live.Looks.Rated != 13 || live.Looks.Next != 12 || live.Decision != panel.GoOn {
				t.Errorf("before the look: %+v, %q", live.Looks, live.Decision)
			}
			for who, by := range map[string]panel.Session{"floor": n.floor, "kitchen": n.kitchen} {
				n.wantError(who, last(n.svc.TakeLook(t.Context(), by, n.study)), panel.ErrRefused)
				if other, err := n.svc.Live(t.Context(), by,
					n.study); err == nil && (other.Looks != nil || other.Decision != "") {
					t.Errorf("%s is told %+v %q", who, other.Looks, other.Decision)
				}
			}
			n.wantError("partner", last(n.svc.TakeLook(t.Context(), partner, n.study)), panel.ErrRefused)
			if part, err := n.svc.LooksSoFar(t.Context(), partner, n.study); part != nil || err != nil {
				t.Errorf("numbers without a look: %+v, %v", part, err)
			}
			told, err := n.svc.TakeLook(t.Context(), n.lead, n.study)
			if err != nil || told != tc.told {
				t.Fatalf("told %q (%v), want %q", told, err, tc.told)
			}
			n.wantError("again", last(n.svc.TakeLook(t.Context(), n.lead, n.study)), panel.ErrNoLook)
			n.wantError("lead", last(n.svc.LooksSoFar(t.Context(), n.lead, n.study)), panel.ErrRefused)
			n.clock.pass(time.Minute)
			n.sitting, n.kitchen, n.floor = n.open()
			n.everybody(16, 19, tc.by)
			part := of[*analysis.LooksPart](n)(n.svc.LooksSoFar(t.Context(), partner, n.study))
			if len(part.Taken) != 1 || part.Taken[0].People != 13 || part.Stopped != tc.stopped {
				t.Errorf("the partner sees %+v", part)
			}
			live = of[panel.Live](n)(n.svc.Live(t.Context(), n.lead, n.study))
			if live.Decision != tc.told || live.Looks.Next != 0 {
				t.Errorf("after it: %+v, %q", live.Looks, live.Decision)
			}
			n.wantLogged("lead: looked: look 1, after 13 people")
			n.closed()
			_, found, err := n.svc.Findings(t.Context(), n.study)
			n.must(err)
			l, people := found.Findings[0].Looks, 16
			if tc.stopped > 0 {
				people = 13
			}
			if l.Stopped != tc.stopped || found.Findings[0].N != people || l.Later != 16-people {
				t.Errorf("found after %d people: %+v", found.Findings[0].N, l)
			}
		})
	}
}

// Evidence is counted after everybody: lead and floor learn only whether to go on, the partner the numbers,
// kitchen and television nothing; and the finding stops where it was enough.
func TestEvidenceWhilePeopleTaste(t *testing.T) {
	n := newNight(t, strings.NewReplacer("panel: {assessors: 4}", "panel: {assessors: 48}",
		"alpha: 0.05}", "alpha: 0.05, evidence: mixture}").Replace(custard))
	partner := panel.Session{Role: panel.RolePartner}
	told := func(want panel.Decision) {
		t.Helper()
		live := of[panel.Live](n)(n.svc.Live(t.Context(), n.lead, n.study))
		room := of[panel.Room](n)(n.svc.Room(t.Context(), n.floor))
		if live.Decision != want || room.Decision != want || live.Looks != nil {
			t.Errorf("lead reads %q, floor %q, want %q", live.Decision, room.Decision, want)
		}
		kitchen := of[panel.Live](n)(n.svc.Live(t.Context(), n.kitchen, n.study))
		link, err := n.svc.TelevisionLink(n.lead, n.study)
		n.must(err)
		television := of[panel.Live](n)(n.svc.Television(t.Context(), n.study, link))
		if kitchen.Decision != "" || television.Decision != "" {
			t.Errorf("kitchen reads %q, television %q", kitchen.Decision, television.Decision)
		}
	}
	told(panel.GoOn)
	if e, err := n.svc.EvidenceSoFar(t.Context(), partner, n.study); e != nil || err != nil {
		t.Errorf("evidence before anybody: %+v, %v", e, err)
	}
	n.everybody(0, 11, 20)
	told(panel.GoOn)
	n.wantError("lead", last(n.svc.EvidenceSoFar(t.Context(), n.lead, n.study)), panel.ErrRefused)
	n.wantError("floor", last(n.svc.EvidenceSoFar(t.Context(), n.floor, n.study)), panel.ErrRefused)
	e := of[*analysis.EvidencePart](n)(n.svc.EvidenceSoFar(t.Context(), partner, n.study))
	if e.Stopped || len(e.Steps) != 11 || e.LogE() < e.Enough() {
		t.Errorf("clear after 11, too few to stop: %+v", e)
	}
	n.everybody(11, 14, 20)
	told(panel.Enough)
	n.closed()
	_, found, err := n.svc.Findings(t.Context(), n.study)
	n.must(err)
	if f := found.Findings[0]; !f.Evidence.Stopped || f.N != 12 || f.Evidence.Later != 2 {
		t.Errorf("found after %d people: %+v", f.N, f.Evidence)
	}
}
