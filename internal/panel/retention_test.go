package panel_test

import (
	"context"
	"errors"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/panel"
)

// TestOldStudiesAreDeleted: so many days after the close, and not while a guest may still take the answers out,
// nothing of a study is left but what it found, where that is wished.
func TestOldStudiesAreDeleted(t *testing.T) {
	say := func(_ panel.Study, found *analysis.Result) (string, int) { return "They differ.", found.Assessors }
	for _, tc := range []struct {
		days int
		say  panel.Sayer
	}{{1, say}, {30, say}, {30, nil}} {
		n := newNight(t, strings.Replace(three, "rinse: 30 s", "rinse: 0 s", 1))
		ctx := t.Context()
		for _, x := range []string{"one", "two", "three"} {
			token := n.guest(x)
			n.taste(token)
			n.taste(token)
		}
		remove := func(want int) {
			t.Helper()
			if got := of[int](n)(n.svc.DeleteOld(ctx, tc.days, tc.say)); got != want {
				t.Errorf("after %d days: %d studies deleted, want %d", tc.days, got, want)
			}
		}
		n.clock.pass(365 * 24 * time.Hour)
		remove(0) // it is open
		n.must(n.svc.Close(ctx, byLead, n.study))
		stored, before, err := n.svc.Findings(ctx, n.study)
		n.must(err)
		due := n.clock.now().AddDate(0, 0, max(tc.days, 7)) // guests may take answers out for 7 days
		n.clock.pass(due.Sub(n.clock.now()) - time.Second)
		remove(0)
		n.clock.pass(time.Second)
		remove(1)
		remove(0)
		_, err = n.svc.Study(ctx, n.study)
		n.wantError("the study", err, panel.ErrNotFound)
		log := of[panel.CheckedLog](n)(n.svc.Log(ctx, byOwner, "")).Entries
		last := log[len(log)-1]
		if last.Who != "the service" || last.What != "study deleted" ||
			!strings.Contains(last.Detail, stored.Spec.Title) ||
			strings.Contains(last.Detail, "its verdict stays") != (tc.say != nil) {
			t.Errorf("the log of the service ends with %+v", last)
		}
		kept := of[[]panel.JoinedStudy](n)(n.svc.KeptVerdicts(ctx, byLead))
		if tc.say == nil {
			if len(kept) > 0 {
				t.Errorf("kept, though nobody wished it: %+v", kept)
			}
			continue
		}
		if len(kept) != 1 || kept[0].Said != "They differ." || kept[0].People != before.Assessors ||
			!kept[0].ClosedAt.Equal(stored.ClosedAt) || kept[0].Title != stored.Spec.Title {
			t.Errorf("kept: %+v", kept)
		}
	}
}

// closedThree is a night with three guests who tasted twice each, closed.
func closedThree(t *testing.T, svc *panel.Service, c *clock) *night {
	t.Helper()
	n := nightOf(t, svc, c, strings.Replace(three, "rinse: 30 s", "rinse: 0 s", 1))
	for _, x := range []string{"one", "two", "three"} {
		token := n.guest(x)
		n.taste(token)
		n.taste(token)
	}
	n.must(n.svc.Close(t.Context(), byLead, n.study))
	return n
}

// theyDiffer says the same of every study.
func theyDiffer(_ panel.Study, found *analysis.Result) (string, int) {
	return "They differ.", found.Assessors
}

// lastOfService is the last entry in the log of the service.
func (n *night) lastOfService() panel.Entry {
	n.t.Helper()
	log := of[panel.CheckedLog](n)(n.svc.Log(n.t.Context(), byOwner, "")).Entries
	return log[len(log)-1]
}

// TestNoVerdictIsKeptThatAGuestMayStillChange: the lead keeps what was found once nobody may take answers out;
// taking it out of the record again names it in the log.
func TestNoVerdictIsKeptThatAGuestMayStillChange(t *testing.T) {
	svc, c := newService(t)
	n := closedThree(t, svc, c)
	ctx := t.Context()
	stored := of[panel.Study](n)(n.svc.Study(ctx, n.study))
	n.must(n.svc.NoteExport(ctx, byLead, stored))
	n.clock.pass(stored.WithdrawUntil().Sub(n.clock.now()) - time.Second)
	n.wantError("kept too early", n.svc.Delete(ctx, byLead, n.study, theyDiffer), panel.ErrMayLeave)
	if kept := of[[]panel.JoinedStudy](n)(n.svc.KeptVerdicts(ctx, byLead)); len(kept) > 0 {
		t.Errorf("kept: %+v", kept)
	}
	n.clock.pass(time.Second)
	n.must(n.svc.Delete(ctx, byLead, n.study, theyDiffer))
	kept := of[[]panel.JoinedStudy](n)(n.svc.KeptVerdicts(ctx, byLead))
	if len(kept) != 1 || kept[0].People != 3 {
		t.Fatalf("kept: %+v", kept)
	}
	n.must(n.svc.LeaveRecord(ctx, byLead, kept[0].ID))
	if e := n.lastOfService(); e.What != "left the record" || e.Detail != stored.Spec.Title {
		t.Errorf("the log of the service ends with %+v", e)
	}
}

// brokenRecord is a store that keeps no differences, and counts how often it is asked to.
type brokenRecord struct {
	panel.Store
	asked *atomic.Int32
}

func (b brokenRecord) KeepDifferences(context.Context, panel.StudyID,
	func([]panel.KeyedAnswer) []analysis.FoundDifference) error {
	b.asked.Add(1)
	return errors.New("no differences today")
}

// TestAVerdictThatCannotBeWorkedOutKeepsNoStudy: by itself the study goes, and the log says what is lost; the
// lead is told, and nothing goes. A version with a later one stays, and costs no work.
func TestAVerdictThatCannotBeWorkedOutKeepsNoStudy(t *testing.T) {
	var asked atomic.Int32
	svc, c := newServiceOn(t, func(kept panel.Store) panel.Store { return brokenRecord{kept, &asked} })
	n := closedThree(t, svc, c)
	ctx := t.Context()
	n.must(n.svc.NoteExport(ctx, byLead, of[panel.Study](n)(n.svc.Study(ctx, n.study))))
	n.clock.pass(40 * 24 * time.Hour)
	if err := n.svc.Delete(ctx, byLead, n.study, theyDiffer); err == nil || !strings.Contains(err.Error(),
		"no differences today") {
		t.Errorf("by the lead: %v", err)
	}
	next := of[panel.Study](n)(n.svc.Amend(ctx, byLead, n.study, "a colder plate"))
	before := asked.Load()
	if got := of[int](n)(n.svc.DeleteOld(ctx, 30, theyDiffer)); got != 0 || asked.Load() != before {
		t.Errorf("with a draft of a later version: %d studies deleted, %d verdicts tried", got, asked.Load()-before)
	}
	n.must(n.svc.NoteExport(ctx, byLead, next))
	n.must(n.svc.Delete(ctx, byLead, next.ID, nil))
	if got := of[int](n)(n.svc.DeleteOld(ctx, 30, theyDiffer)); got != 1 {
		t.Errorf("%d studies deleted", got)
	}
	if e := n.lastOfService(); e.What != "study deleted" || !strings.Contains(e.Detail,
		"without its verdict, which cannot be worked out: no differences today") ||
		strings.Contains(e.Detail, "stays in the record") {
		t.Errorf("the log of the service ends with %+v", e)
	}
}

// TestAStudyThatCameIsKeptFromThenOn: one that another service closed long ago stays as many days as any.
func TestAStudyThatCameIsKeptFromThenOn(t *testing.T) {
	svc, c := newService(t)
	there := closedThree(t, svc, c)
	whole := of[[]byte](there)(there.svc.ReadWhole(t.Context(), there.study, func() error { return nil }))
	n := &night{t: t, study: there.study}
	n.svc, n.clock = newService(t)
	n.clock.pass(400 * 24 * time.Hour)
	n.must(n.svc.TakeWhole(t.Context(), byLead, n.study, whole))
	came := n.clock.now()
	for _, tc := range []struct {
		at   time.Time
		want int
	}{{came, 0}, {came.AddDate(0, 0, 30).Add(-time.Second), 0}, {came.AddDate(0, 0, 30), 1}} {
		n.clock.pass(tc.at.Sub(n.clock.now()))
		if got := of[int](n)(n.svc.DeleteOld(t.Context(), 30, nil)); got != tc.want {
			t.Errorf("%s after it came: %d studies deleted, want %d", tc.at.Sub(came), got, tc.want)
		}
	}
}

// gone is a store whose studies another process deletes just before.
type gone struct{ panel.Store }

func (gone) DeleteStudy(context.Context, panel.StudyID, panel.Deletion,
	func(panel.Study, panel.Progress, panel.LogEnd) panel.Event) error {
	return panel.ErrNotFound
}

// TestAStudyThatAnotherProcessDeletedFailsNothing: nor is it counted.
func TestAStudyThatAnotherProcessDeletedFailsNothing(t *testing.T) {
	svc, c := newServiceOn(t, func(kept panel.Store) panel.Store { return gone{kept} })
	n := closedThree(t, svc, c)
	n.clock.pass(40 * 24 * time.Hour)
	if got := of[int](n)(n.svc.DeleteOld(t.Context(), 30, theyDiffer)); got != 0 {
		t.Errorf("%d studies deleted", got)
	}
}
