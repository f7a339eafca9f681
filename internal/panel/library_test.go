package panel_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
)

func TestACopyIsADraftOfItsOwn(t *testing.T) {
	n := newNight(t, custard)
	copied := of[panel.Study](n)(n.svc.Copy(t.Context(), byLead, n.study))
	if copied.ID == n.study || copied.State != panel.Draft || copied.Version != 1 || copied.Amends != "" {
		t.Errorf("copy of an open study: %+v", copied)
	}
	if want := strings.Replace(custard, ", seed: 7", "", 1); copied.File != want {
		t.Errorf("the copy's file is not that of the study without its seed:\n%s", copied.File)
	}
	if again := of[panel.Study](n)(n.svc.Copy(t.Context(), byLead, n.begin(custard).ID)); again.File != custard {
		t.Errorf("the copy of a draft is another file:\n%s", again.File)
	}
	for _, serving := range []string{"serving: {seed: 7}", "serving:\n  seed: 7 # by hand",
		"serving:\n  # order\n  seed: 7\n  rinse: 5 s"} {
		s := n.begin(strings.Replace(custard, "serving: {rinse: 30 s, plate gate: false, seed: 7}", serving, 1))
		n.must(n.svc.Lock(t.Context(), byLead, s.ID, 1))
		for name, made := range map[string]panel.Study{
			"copy":      of[panel.Study](n)(n.svc.Copy(t.Context(), byLead, s.ID)),
			"amendment": of[panel.Study](n)(n.svc.Amend(t.Context(), byLead, s.ID, "a reason")),
		} {
			if len(made.Problems) > 0 || made.Spec.Serving.HasSeed {
				t.Errorf("%s of %q has problems %v, seed %v", name, serving, made.Problems, made.Spec.Serving.HasSeed)
			}
		}
	}
	n.wantError("copy nothing", last(n.svc.Copy(t.Context(), byLead, "nobody")), panel.ErrNotFound)
}

func TestAnAmendmentSaysWhy(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	n.taste(n.guest("one"))
	for _, reason := range []string{"", " \n", strings.Repeat("é", panel.MaxReason+1)} {
		n.wantError("amend without a sound reason", last(n.svc.Amend(ctx, byLead, n.study, reason)), panel.ErrReason)
	}
	next := of[panel.Study](n)(n.svc.Amend(ctx, byLead, n.study, " the oven failed "))
	if next.Version != 2 || next.Amends != n.study || next.Reason != "the oven failed" || next.RatingsBefore != 1 ||
		next.State != panel.Draft {
		t.Errorf("version 2: %+v", next)
	}
	n.wantError("amend it again", last(n.svc.Amend(ctx, byLead, n.study, "again")), panel.ErrAmended)
	n.wantError("amend a draft", last(n.svc.Amend(ctx, byLead, next.ID, "again")), panel.ErrWrongState)
	n.must(n.svc.Lock(ctx, byLead, next.ID, 1))
	n.wantError("open beside version 1", last(n.svc.OpenSitting(ctx, byLead, next.ID)), panel.ErrEarlierOpen)
	for _, id := range []string{string(n.study), string(next.ID)} {
		lines := of[[]panel.VersionLine](n)(n.svc.Versions(ctx, panel.StudyID(id)))
		if len(lines) != 2 || lines[0].ID != n.study || lines[1].Reason != "the oven failed" ||
			lines[1].RatingsBefore != 1 || lines[0].StudyHash == "" {
			t.Errorf("versions: %+v", lines)
		}
	}
	n.must(n.svc.Close(ctx, byLead, n.study))
	of[panel.Sitting](n)(n.svc.OpenSitting(ctx, byLead, next.ID))
}

func TestThePartnerSignsBeforeTheFirstRating(t *testing.T) {
	n := desk(t)
	ctx := t.Context()
	partner := panel.Session{Role: panel.RolePartner}
	s := n.begin(custard)
	sign := func(by panel.Session, name string) error { return n.svc.Countersign(ctx, by, s.ID, name) }
	n.wantError("a draft", sign(partner, "R. Öst"), panel.ErrWrongState)
	n.must(n.svc.Lock(ctx, byLead, s.ID, 1))
	n.wantError("the lead", sign(n.lead, "R. Öst"), panel.ErrRefused)
	n.wantError("no name", sign(partner, "  "), panel.ErrBadValue)
	n.wantError("a long name", sign(partner, strings.Repeat("x", panel.MaxSigner+1)), panel.ErrBadValue)
	n.must(sign(partner, "  Renée\n Öst "))
	n.wantError("twice", sign(partner, "R. Öst"), panel.ErrWrongState)
	s = of[panel.Study](n)(n.svc.Study(ctx, s.ID))
	want := panel.Countersign{At: n.clock.now(), Name: "Renée Öst", StudyHash: s.Lock.StudyHash,
		PlanHash: s.Lock.PlanHash}
	if s.Countersigned != want {
		t.Errorf("countersigned: %+v, want %+v", s.Countersigned, want)
	}

	rated := newNight(t, custard)
	rated.taste(rated.guest("one"))
	rated.wantError("after a rating", rated.svc.Countersign(ctx, partner, rated.study, "R. Öst"), panel.ErrWrongState)
}

func TestNothingIsDeletedWithoutAnExport(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	n.taste(n.guest("one"))
	remove := func(by panel.Session) error { return n.svc.Delete(ctx, by, n.study, nil) }
	export := func() {
		t.Helper()
		n.must(n.svc.NoteExport(ctx, n.lead, of[panel.Study](n)(n.svc.Study(ctx, n.study))))
	}
	export()
	n.wantError("an open study", remove(n.lead), panel.ErrWrongState)
	n.must(n.svc.Close(ctx, byLead, n.study))
	n.wantError("exported before it was closed", remove(n.lead), panel.ErrNotExported)
	export()
	n.must(n.svc.Archive(ctx, byLead, n.study, true))
	n.wantError("the partner", remove(panel.Session{Role: panel.RolePartner}), panel.ErrRefused)
	closed := of[panel.Study](n)(n.svc.Study(ctx, n.study))
	n.must(remove(n.lead))
	n.wantError("read it", last(n.svc.Study(ctx, n.study)), panel.ErrNotFound)
	log := of[panel.CheckedLog](n)(n.svc.Log(ctx, byOwner, "")).Entries
	e := log[len(log)-1]
	if e.What != "study deleted" || e.Who != "lead" {
		t.Fatalf("last entry of the service's log: %+v", e)
	}
	for _, want := range []string{closed.Spec.Title, string(closed.ID), closed.Lock.StudyHash, closed.Lock.PlanHash,
		"closed 2026-", "1 assessors, 1 servings rated", "exported 2026-"} {
		if !strings.Contains(e.Detail, want) {
			t.Errorf("the entry lacks %q: %s", want, e.Detail)
		}
	}
}

// TestTheReportKnowsOfEveryVersion analyses both versions of a study.
func TestTheReportKnowsOfEveryVersion(t *testing.T) {
	n := newNight(t, strings.Replace(custard, "rinse: 30 s", "rinse: 0 s", 1))
	ctx := t.Context()
	for _, guest := range []string{"one", "two", "three"} {
		n.must(n.tasteAll(n.guest(guest), "40"))
	}
	n.must(n.svc.Close(ctx, byLead, n.study))
	next := of[panel.Study](n)(n.svc.Amend(ctx, byLead, n.study, "the oven failed"))
	_, alone, err := n.svc.Findings(ctx, n.study)
	if err != nil || alone.Versions != nil || alone.Signed != nil {
		t.Errorf("a draft of version 2 shows in the findings: %+v, %v", alone.Versions, err)
	}
	n.must(n.svc.Lock(ctx, byLead, next.ID, 1))
	n.must(n.svc.Countersign(ctx, panel.Session{Role: panel.RolePartner}, next.ID, "Renée Öst"))
	first := n.study
	n.study = next.ID
	n.sitting, n.kitchen, n.floor = n.open()
	for _, guest := range []string{"four", "five", "six"} {
		n.must(n.tasteAll(n.guest(guest), "60"))
	}
	n.must(n.svc.Close(ctx, byLead, next.ID))
	for id, this := range map[string]int{string(first): 1, string(next.ID): 2} {
		stored, found, err := n.svc.Findings(ctx, panel.StudyID(id))
		n.must(err)
		if len(found.Versions) != 2 || !found.Versions[this-1].This || found.Versions[1].Before != 6 ||
			found.Versions[1].Reason != "the oven failed" {
			t.Errorf("version %d: %+v", this, found.Versions)
		}
		if (found.Signed != nil) != (this == 2) {
			t.Errorf("version %d: signed %+v", this, found.Signed)
		}
		if found.Versions[this-1].PlanHash != stored.Lock.PlanHash || found.Assessors != 3 {
			t.Errorf("version %d is analysed with %d assessors under plan %s", this, found.Assessors, found.PlanHash)
		}
	}
}
