package panel_test

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/store"
)

// TestFindingsAreKeptUntilSomethingChanges: looked at again they are the same, not found
// anew; a withdrawal, answers that came late and a change by another process make others.
func TestFindingsAreKeptUntilSomethingChanges(t *testing.T) {
	n := &night{t: t, lead: panel.Session{Role: panel.RoleLead}}
	file, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "kept.db"))
	n.must(err)
	t.Cleanup(func() { n.must(file.Close()) })
	n.clock = &clock{at: time.Date(2026, 11, 20, 19, 0, 0, 0, time.UTC)}
	o := panel.Options{Now: n.clock.now, HashCost: bcrypt.MinCost}
	n.svc = of[*panel.Service](n)(panel.New(t.Context(), file, o))
	other := of[*panel.Service](n)(panel.New(t.Context(), file, o))
	stored, problems, err := n.svc.Upload(t.Context(), byLead, "kept.yaml",
		[]byte(strings.Replace(three, "rinse: 30 s", "rinse: 0 s", 1)))
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	n.study = stored.ID
	n.must(n.svc.Lock(t.Context(), byLead, n.study, 1))
	n.sitting, n.kitchen, n.floor = n.open()
	tokens := []panel.SeatToken{n.guest("one"), n.guest("two"), n.guest("three")}
	for _, token := range tokens {
		n.taste(token)
		n.taste(token)
	}
	third := ballot(t, n.svc, tokens[2]).Turn.ID
	n.must(n.svc.Close(t.Context(), byLead, n.study))

	found := func() *analysis.Result {
		t.Helper()
		_, r, err := n.svc.Findings(t.Context(), n.study)
		n.must(err)
		return r
	}
	first := found()
	if found() != first {
		t.Error("looked at again, it is found anew")
	}
	n.submit(tokens[2], panel.Submission{ID: "late", TurnID: third}, "90")
	late := found()
	if late == first || late.AfterClose.Servings != 1 {
		t.Errorf("after a late answer: %+v", late.AfterClose)
	}
	n.clock.pass(time.Hour)
	n.must(n.svc.Withdraw(t.Context(), tokens[0]))
	fewer := found()
	if fewer == late || fewer.Assessors != 2 || fewer.AfterClose.FindingsVersion() != 2 {
		t.Errorf("after a withdrawal: %d assessors, %+v", fewer.Assessors, fewer.AfterClose)
	}
	if found() != fewer {
		t.Error("after a withdrawal it is found anew each time")
	}
	n.must(other.Withdraw(t.Context(), tokens[1]))
	if last := found(); last.Assessors != 1 {
		t.Errorf("after a withdrawal elsewhere: %d assessors", last.Assessors)
	}
}
