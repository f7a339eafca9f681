package panel_test

import (
	"fmt"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/panel"
)

// Whoever may follow progress is told of a plan that stops early whether to go on, and
// nothing of what was answered; the television, kitchen and floor are not told even that.
// Twelve right answers decide after seven, which the finding then says.
func TestDecisionIsAllThatTheBoardTells(t *testing.T) {
	n := newNight(t, studyFile(t, "custard-with-starch"))
	_, plan, err := n.svc.Preview(t.Context(), n.study)
	n.must(err)
	link, err := n.svc.TelevisionLink(n.lead, n.study)
	n.must(err)
	for i := range 12 {
		token := n.guest(fmt.Sprint(i))
		turn := ballot(t, n.svc, token).Turn.ID
		n.clock.pass(time.Minute)
		n.must(last(n.svc.Submit(t.Context(), token, panel.Submission{ID: "x", TurnID: turn,
			Given: map[string]string{"choice": fmt.Sprint(likeReference(plan, i))}})))
		live := of[panel.Live](n)(n.svc.Live(t.Context(), n.lead, n.study))
		want := panel.GoOn
		if i+1 >= 7 {
			want = panel.Enough
		}
		if live.Decision != want {
			t.Errorf("after %d right answers the board says %q, want %q", i+1, live.Decision, want)
		}
		for who, by := range map[string]panel.Session{"kitchen": n.kitchen, "floor": n.floor} {
			if other, err := n.svc.Live(t.Context(), by, n.study); err == nil && other.Decision != "" {
				t.Errorf("%s is told %q", who, other.Decision)
			}
		}
		if shown := of[panel.Live](n)(n.svc.Television(t.Context(), n.study, link)); shown.Decision != "" {
			t.Errorf("the television shows %q", shown.Decision)
		}
	}
	n.closed()
	_, found, err := n.svc.Findings(t.Context(), n.study)
	n.must(err)
	f := found.Findings[0]
	if e := f.Choice.Told.Early; f.N != 7 || f.Choice.Told.Right != 7 || e.Later != 5 ||
		f.Verdict.Code != analysis.DifferentSizeOpen {
		t.Errorf("found %d of %d right, %d later: %s", f.Choice.Told.Right, f.N, e.Later, f.Verdict.Code)
	}
}

// likeReference is the plate of a tray, from 1, that is of the sample of its reference.
func likeReference(plan *design.Plan, assessor int) int {
	reference, at := int32(-1), 0
	for turn := range plan.Turns(assessor) {
		for _, v := range turn.Servings {
			at++
			if v.Role == design.Reference {
				reference = v.Sample
			} else if v.Sample == reference {
				return at
			}
		}
	}
	return 0
}
