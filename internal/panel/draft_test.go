package panel_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// desk is a service with a lead and a partner, and no study yet.
func desk(t *testing.T) *night {
	t.Helper()
	n := &night{t: t, lead: panel.Session{Role: panel.RoleLead}}
	n.svc, n.clock = newService(t)
	return n
}

func (n *night) begin(file string) panel.Study {
	n.t.Helper()
	return of[panel.Study](n)(n.svc.Begin(n.t.Context(), byLead, []byte(file), "a test"))
}

func (n *night) save(s panel.Study, file string) panel.Study {
	n.t.Helper()
	return of[panel.Study](n)(n.svc.SaveDraft(n.t.Context(), byLead, s.ID, s.Revision, []byte(file)))
}

// TestADraftMayBeHalfDone keeps files with every kind of mistake, and locks none.
func TestADraftMayBeHalfDone(t *testing.T) {
	files := map[string]string{
		"nothing":        "",
		"no YAML":        "dishes: [{",
		"a mistake":      strings.Replace(custard, "question: names", "question: nmes", 1),
		"half a list":    "cloche: 1\ntitle: Half done\ndishes:\n  - {id: a}\n  -\n",
		"something else": "- 1\n- 2\n",
		"odd line ends":  "cloche: 1\r\ntitle: Windows\r\n",
	}
	n := desk(t)
	for name, file := range files {
		t.Run(name, func(t *testing.T) {
			stored := n.begin(file)
			if stored.File != file || stored.Spec == nil || len(stored.Problems) == 0 {
				t.Fatalf("kept as %q with problems %v", stored.File, stored.Problems)
			}
			_, want := study.Read("study.yaml", []byte(file))
			if diff := cmp.Diff(want, stored.Problems); diff != "" {
				t.Errorf("problems are not those of study.Read:\n%s", diff)
			}
			n.wantError("lock", n.svc.Lock(t.Context(), byLead, stored.ID, stored.Revision), panel.ErrMistakes)
			_, _, err := n.svc.Preview(t.Context(), stored.ID)
			n.wantError("preview", err, panel.ErrMistakes)
		})
	}
	if all := of[[]panel.Study](n)(n.svc.Studies(t.Context())); len(all) != len(files) {
		t.Errorf("%d studies are listed, want %d", len(all), len(files))
	}
}

func TestWhatIsNoTextIsNotKept(t *testing.T) {
	n := desk(t)
	stored := n.begin(custard)
	for name, file := range map[string]string{
		"not UTF-8": "title: \xff", "a zero character": "title: \x00", "too long": strings.Repeat("#", panel.MaxFile+1),
	} {
		n.wantError("begin with "+name, last(n.svc.Begin(t.Context(), byLead, []byte(file), "")), panel.ErrBadValue)
		n.wantError("save "+name, last(n.svc.SaveDraft(t.Context(), byLead, stored.ID, 1, []byte(file))),
			panel.ErrBadValue)
	}
	n.save(stored, strings.Repeat("#", panel.MaxFile))
}

// TestADraftIsReadAnewAfterEachChange would find a stale reading of the file.
func TestADraftIsReadAnewAfterEachChange(t *testing.T) {
	n := desk(t)
	ctx := t.Context()
	titled := func(title string) string { return strings.Replace(custard, "CANARY-TITLE", title, 1) }
	check := func(s panel.Study, title string) {
		t.Helper()
		for what, got := range map[string]panel.Study{"returned": s, "read": of[panel.Study](n)(n.svc.Study(ctx, s.ID)),
			"listed": of[[]panel.Study](n)(n.svc.Studies(ctx))[0]} {
			if !strings.HasPrefix(got.Spec.Title, title) || len(got.Problems) != 0 {
				t.Errorf("%s: title %q, problems %v; want %s", what, got.Spec.Title, got.Problems, title)
			}
		}
	}
	s := n.begin(titled("First"))
	check(s, "First")
	s = n.save(s, titled("Second"))
	check(s, "Second")
	s = of[panel.Study](n)(n.svc.Undo(ctx, byLead, s.ID, s.Revision))
	check(s, "First")
	if s.CanUndo || !s.CanRedo {
		t.Errorf("after the undo: %+v", s)
	}
	s = of[panel.Study](n)(n.svc.Redo(ctx, byLead, s.ID, s.Revision))
	check(s, "Second")
	n.wantError("redo again", last(n.svc.Redo(ctx, byLead, s.ID, s.Revision)), panel.ErrNotFound)
	n.must(n.svc.Lock(ctx, byLead, s.ID, s.Revision))
	check(of[panel.Study](n)(n.svc.Study(ctx, s.ID)), "Second")
}

// TestWhatWasSeenIsLocked refuses to lock what changed under the lead's eyes.
func TestWhatWasSeenIsLocked(t *testing.T) {
	n := desk(t)
	ctx := t.Context()
	seen := n.begin(custard)
	n.save(seen, strings.Replace(custard, "alpha: 0.05", "alpha: 0.10", 1))
	n.wantError("lock what was seen before", n.svc.Lock(ctx, byLead, seen.ID, seen.Revision), panel.ErrStale)
	n.wantError("save what was typed before", last(n.svc.SaveDraft(ctx, byLead, seen.ID, seen.Revision, []byte("x"))),
		panel.ErrStale)
	n.must(n.svc.Lock(ctx, byLead, seen.ID, 2))
	n.wantError("save after the lock", last(n.svc.SaveDraft(ctx, byLead, seen.ID, 2, []byte(custard))),
		panel.ErrWrongState)
	locked := of[panel.Study](n)(n.svc.Study(ctx, seen.ID))
	if locked.Spec.Plan.Alpha != 0.10 {
		t.Errorf("alpha %g was locked, want 0.10", locked.Spec.Plan.Alpha)
	}
}

// TestTheHashIsOfTheStudyAsWritten holds that the drawn seed cannot be tried out
// from what is published at the lock.
func TestTheHashIsOfTheStudyAsWritten(t *testing.T) {
	n := desk(t)
	ctx := t.Context()
	unseeded := strings.Replace(custard, ", seed: 7", "", 1)
	asked, problems := study.Parse("a.yaml", []byte(unseeded))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	var seeds []uint64
	for range 2 {
		s := n.begin(unseeded)
		n.must(n.svc.Lock(ctx, byLead, s.ID, 1))
		s = of[panel.Study](n)(n.svc.Study(ctx, s.ID))
		if s.Lock.StudyHash != study.Hash(asked) || study.Hash(s.Spec) != s.Lock.StudyHash {
			t.Errorf("study hash %s, want that of the study as written, %s", s.Lock.StudyHash, study.Hash(asked))
		}
		if s.Spec.Serving.HasSeed {
			t.Error("the drawn seed stands in what was asked")
		}
		plan, err := s.FixedPlan()
		if err != nil || plan.Hash() != s.Lock.PlanHash {
			t.Errorf("plan drawn again: %v", err)
		}
		seeds = append(seeds, s.Lock.Seed)
	}
	if seeds[0] == seeds[1] {
		t.Error("two studies drew the same seed")
	}
}
