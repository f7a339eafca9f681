package panel_test

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/store"
	"cloche/internal/study"
)

// countingStore counts how often the ratings of a study are read, and how often its
// spreads are made of them.
type countingStore struct {
	panel.Store
	read, made int
}

func (c *countingStore) KeyedAnswers(ctx context.Context, id panel.StudyID) ([]panel.KeyedAnswer, error) {
	c.read++
	return c.Store.KeyedAnswers(ctx, id)
}

func (c *countingStore) KeepDifferences(ctx context.Context, id panel.StudyID,
	find func([]panel.KeyedAnswer) []analysis.FoundDifference) error {
	c.made++
	return c.Store.KeepDifferences(ctx, id, find)
}

// TestClosingKeepsWhatLaterStudiesAreSizedBy: the close makes the spreads, once, and
// no rating is read however often a later study is sized.
func TestClosingKeepsWhatLaterStudiesAreSizedBy(t *testing.T) {
	kept, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "test.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = kept.Close() })
	counted := &countingStore{Store: kept}
	svc, err := panel.New(t.Context(), counted, panel.Options{HashCost: bcrypt.MinCost})
	if err != nil {
		t.Fatal(err)
	}
	id, join := openedFile(t, svc, strings.Replace(custard, "rinse: 30 s", "rinse: 0 s", 1))
	for i, guest := range []string{"1", "2"} {
		token := consent(t, svc, join, "nonce-of-guest-number-"+guest)
		if err := svc.Start(t.Context(), token); err != nil {
			t.Fatal(err)
		}
		for _, salt := range [][]string{{"20", "30"}, {"40", "90"}}[i] {
			rate(t, svc, token, ballot(t, svc, token).Turn.ID, salt, "5")
		}
	}
	asked, problems := study.Parse("later.yaml", []byte(custard))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	told := func(by panel.Session) (people int) {
		t.Helper()
		spread, err := svc.EarlierSpread(t.Context(), by, asked)
		if err != nil {
			t.Fatal(err)
		}
		return spread.Pairs
	}
	if n := told(byLead); n != 0 {
		t.Errorf("an open study tells of %d people", n)
	}
	if err := svc.Close(t.Context(), byLead, id); err != nil {
		t.Fatal(err)
	}
	if counted.made != 1 {
		t.Errorf("the close made spreads %d times, want once", counted.made)
	}
	for range 3 {
		if n := told(byLead); n != 2 {
			t.Errorf("the closed study tells of %d people, want 2", n)
		}
	}
	if counted.made != 1 || counted.read != 0 {
		t.Errorf("spreads were made %d times and ratings read %d times, want once and never", counted.made,
			counted.read)
	}
	recordHolds(t, svc, id, counted)
	ada, _, err := svc.AddUser(t.Context(), byOwner, "Ada", panel.RoleNamed)
	if err != nil {
		t.Fatal(err)
	}
	named := panel.Session{Role: panel.RoleLead, House: panel.RoleNamed, UserID: ada.ID}
	if n := told(named); n != 0 {
		t.Errorf("who has no role in the closed study is told of %d people in it", n)
	}
	if err := svc.SetRole(t.Context(), byOwner, ada.ID, id, panel.RoleMonitor); err != nil {
		t.Fatal(err)
	}
	if n := told(named); n != 2 {
		t.Errorf("who has a role in the closed study is told of %d people, want 2", n)
	}
}

// recordHolds holds the house's record to the one study that is closed, for those who may
// read what it found.
func recordHolds(t *testing.T, svc *panel.Service, id panel.StudyID, counted *countingStore) {
	t.Helper()
	for _, role := range []panel.Role{panel.RoleNobody, panel.RoleKitchen, panel.RoleFloor, panel.RoleAssessor} {
		if _, err := svc.Record(t.Context(), panel.Session{Role: role}); !errors.Is(err, panel.ErrRefused) {
			t.Errorf("%s reads the record: %v", role, err)
		}
	}
	for _, role := range []panel.Role{panel.RoleLead, panel.RolePartner} {
		found, err := svc.Record(t.Context(), panel.Session{Role: role})
		if err != nil || len(found) != 1 || len(found[0].Kept) != 1 {
			t.Fatalf("%s: %+v %v", role, found, err)
		}
		_, result, err := svc.Findings(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		q, report := found[0], result.Findings[0]
		if q.Kept[0].Study != id || q.Kept[0].ClosedAt.IsZero() || q.Studies[0].Difference != report.Value ||
			q.Studies[0].People != report.N || q.Intervals[0] != report.CI {
			t.Errorf("the record says %+v with %v, the report %+v of %d", q.Studies[0], q.Intervals[0], report.Estimate,
				report.N)
		}
	}
}
