package store

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"gorm.io/gorm"

	"cloche/internal/panel"
	"cloche/internal/store/storetest"
)

var update = flag.Bool("update", false, "write testdata/migrations.sha256 anew")

var dialects = []string{"sqlite", "postgres"}

// TestMigrationNumbers checks that both databases have the same steps, numbered
// from 1 without a gap.
func TestMigrationNumbers(t *testing.T) {
	names := map[string][]string{}
	for _, dialect := range dialects {
		entries, err := fs.ReadDir(migrations, "migrations/"+dialect)
		if err != nil {
			t.Fatal(err)
		}
		for i, entry := range entries {
			names[dialect] = append(names[dialect], entry.Name())
			if number := fmt.Sprintf("%04d_", i+1); !strings.HasPrefix(entry.Name(), number) {
				t.Errorf("%s: %s is step %d; its name should begin with %s", dialect, entry.Name(), i+1, number)
			}
		}
	}
	if diff := cmp.Diff(names["sqlite"], names["postgres"]); diff != "" {
		t.Errorf("steps of sqlite (-) and postgres (+) differ:\n%s", diff)
	}
}

// TestMigrationsStayAsReleased compares each step with the sum that was noted
// when it was added.
func TestMigrationsStayAsReleased(t *testing.T) {
	const noted = "testdata/migrations.sha256"
	var sums bytes.Buffer
	for _, dialect := range dialects {
		files, err := fs.Glob(migrations, path.Join("migrations", dialect, "*.sql"))
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			text, err := migrations.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			fmt.Fprintf(&sums, "%x  %s\n", sha256.Sum256(text), file)
		}
	}
	if *update {
		if err := os.WriteFile(noted, sums.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(noted)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), sums.String()); diff != "" {
		t.Errorf("steps differ from %s (-noted +now); a released step is never edited, a new one is noted by go test -update:\n%s", noted, diff)
	}
}

// column is what both databases must agree on. Kind is a word for the type that
// they call by different names.
type column struct {
	Table, Name, Kind string
	Null              bool
}

func TestTablesAgree(t *testing.T) {
	server := openAt(t, storetest.Postgres(t))
	file := openSQLite(t)
	if diff := cmp.Diff(columns(t, file.write), columns(t, server.write)); diff != "" {
		t.Errorf("columns of sqlite (-) and postgres (+):\n%s", diff)
	}
	if diff := cmp.Diff(indexes(t, file.write), indexes(t, server.write)); diff != "" {
		t.Errorf("indexes of sqlite (-) and postgres (+):\n%s", diff)
	}
}

func columns(t *testing.T, db *gorm.DB) []column {
	t.Helper()
	query := `SELECT table_name AS "table", column_name AS name, data_type AS kind, is_nullable = 'YES' AS "null"
		FROM information_schema.columns WHERE table_schema = current_schema()`
	if db.Name() == "sqlite" {
		query = `SELECT t.name AS "table", c.name, c.type AS kind, NOT c."notnull" AS "null"
			FROM sqlite_master t, pragma_table_info(t.name) c WHERE t.type = 'table'`
	}
	var found []column
	if err := db.Raw(query).Scan(&found).Error; err != nil {
		t.Fatal(err)
	}
	kinds := strings.NewReplacer("datetime", "time", "timestamp with time zone", "time", "bigint", "integer", "bytea", "blob")
	for i := range found {
		found[i].Kind = kinds.Replace(strings.ToLower(found[i].Kind))
	}
	found = slices.DeleteFunc(found, func(c column) bool {
		return c.Table == "goose_db_version" || strings.HasPrefix(c.Table, "sqlite_")
	})
	if len(found) == 0 {
		t.Fatalf("no columns found on %s", db.Name())
	}
	slices.SortFunc(found, func(a, b column) int { return strings.Compare(a.Table+"."+a.Name, b.Table+"."+b.Name) })
	return found
}

// indexes gives the named indexes: "index on table (columns)", with "unique".
func indexes(t *testing.T, db *gorm.DB) []string {
	t.Helper()
	query := `SELECT indexdef FROM pg_indexes WHERE schemaname = current_schema() AND indexname LIKE '%\_by\_%'`
	if db.Name() == "sqlite" {
		query = `SELECT sql FROM sqlite_master WHERE type = 'index' AND name LIKE '%\_by\_%' ESCAPE '\'`
	}
	var found []string
	if err := db.Raw(query).Scan(&found).Error; err != nil {
		t.Fatal(err)
	}
	if len(found) == 0 {
		t.Fatalf("no indexes found on %s", db.Name())
	}
	plain := strings.NewReplacer("public.", "", "USING btree ", "")
	for i := range found {
		found[i] = plain.Replace(found[i])
	}
	slices.Sort(found)
	return found
}

// TestOldCopy brings a filled database of version 1 up to date and reads it.
func TestOldCopy(t *testing.T) {
	databases := map[string]func(t *testing.T) string{
		"sqlite":   func(t *testing.T) string { return filepath.Join(t.TempDir(), "old.db") },
		"postgres": func(t *testing.T) string { return storetest.Postgres(t) },
	}
	fixture, err := os.ReadFile("testdata/version1.sql")
	if err != nil {
		t.Fatal(err)
	}
	for name, database := range databases {
		t.Run(name, func(t *testing.T) {
			dsn := database(t)
			fillVersion(t, dsn, 1, string(fixture))
			checkOldCopy(t, openAt(t, dsn))
		})
	}
}

// fillVersion makes the tables of a version and fills them.
func fillVersion(t *testing.T, dsn string, version int64, fixture string) {
	t.Helper()
	old, err := connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer old.Close()
	steps, err := old.steps()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := steps.UpTo(t.Context(), version); err != nil {
		t.Fatal(err)
	}
	err = old.write.Transaction(func(tx *gorm.DB) error {
		for _, statement := range strings.SplitAfter(fixture, ";\n") {
			if err := tx.Exec(statement).Error; err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatalf("fill version %d: %v", version, err)
	}
}

func checkOldCopy(t *testing.T, s *Store) {
	t.Helper()
	ctx := t.Context()
	day := func(d, h, m int) time.Time { return time.Date(2026, 3, d, h, m, 0, 0, time.UTC) }
	equal := func(what string, got, want any, err error) {
		t.Helper()
		if err != nil {
			t.Errorf("%s: %v", what, err)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", what, diff)
		}
	}
	studies, err := s.Studies(ctx)
	equal("studies", studies, []panel.Study{
		{ID: "study-closed", Series: "study-closed", Version: 1, Revision: 1, File: "cloche: 1", State: panel.Closed, Created: day(4, 9, 0),
			Lock:     panel.Lock{At: day(4, 10, 0), Engine: 1, StudyHash: "a3", PlanHash: "b3"},
			ClosedAt: day(4, 22, 0).Add(999999 * time.Microsecond)},
		{ID: "study-open", Series: "study-open", Version: 1, Revision: 1, File: "cloche: 1", State: panel.Open, Created: day(3, 9, 0),
			Lock: panel.Lock{At: day(3, 10, 0), Seed: 1<<64 - 1, Engine: 1, StudyHash: "a2", PlanHash: "b2"}},
		{ID: "study-locked", Series: "study-locked", Version: 1, Revision: 1, File: "cloche: 1", State: panel.Locked, Created: day(2, 9, 0),
			Lock: panel.Lock{At: day(2, 10, 0).Add(500 * time.Millisecond), Seed: 7, Engine: 1, StudyHash: "a1", PlanHash: "b1"}},
		{ID: "study-draft", Series: "study-draft", Version: 1, Revision: 1, File: "cloche: 1\ntitle: Selleriecreme 🍮", Created: day(1, 9, 0).Add(time.Microsecond)},
	}, err)
	saved, err := s.SaveDraft(ctx, "study-draft", 1, "cloche: 1", 100)
	equal("an old draft can be undone", saved.CanUndo, true, err)
	undone, err := s.StepDraft(ctx, "study-draft", 2, -1)
	equal("undone", undone.File, "cloche: 1\ntitle: Selleriecreme 🍮", err)
	progress, err := s.Progress(ctx, "study-open")
	equal("progress", progress, panel.Progress{Places: 2, Joined: 1, Started: 1, Declined: 2, Expected: 1}, err)
	ratings, err := s.RatedAll(ctx, "study-closed")
	equal("ratings", ratings, []panel.Rated{
		{Place: 0, Position: 1, Code: "472", Sample: "brulee", Attribute: "liking", Value: 7, At: day(4, 18, 10)},
		{Place: 0, Position: 1, Code: "472", Sample: "brulee", Attribute: "salty", Value: 61.25, At: day(4, 18, 10)},
		{Place: 0, Position: 2, Code: "935", Sample: "royale", Attribute: "liking", Value: 8, At: day(4, 18, 20)},
		{Place: 0, Position: 2, Code: "935", Sample: "royale", Attribute: "salty", Value: 44.75, At: day(4, 18, 20)},
	}, err)
	assessor, err := s.AssessorByToken(ctx, "token-open")
	equal("assessor", assessor, panel.Assessor{ID: "assessor-open", StudyID: "study-open", SittingID: "sitting-open", Phone: true,
		JoinedAt: day(3, 18, 3), StartedAt: day(3, 18, 4).Add(250 * time.Millisecond)}, err)
	events, err := s.Events(ctx, "")
	equal("events", events, []panel.Event{{At: day(1, 8, 0), Who: "lead", What: "password-set"}}, err)
	password, err := s.Setting(ctx, "password")
	equal("setting", password, "invented-hash", err)
	session, err := s.Session(ctx, "session-1")
	equal("session", session, panel.Session{Role: panel.RoleLead, Expires: day(5, 8, 0)}, err)

	// And it goes on: the guest who had joined rates the serving that was waiting.
	first, err := storetest.Rate(ctx, s, "assessor-open", "open-0-1", []panel.Answered{{Attribute: "salty", Value: 50, At: day(3, 19, 0)}})
	equal("rating goes on", first, true, err)

	// What version 1 did not have starts empty: no spare codes, no staff links.
	_, err = s.Drop(ctx, "open-0-0", "218", day(3, 19, 0), panel.Event{StudyID: "study-open"})
	if !errors.Is(err, panel.ErrNoSpare) {
		t.Errorf("drop in an old study: %v, want no spare code", err)
	}
	link, err := s.StaffLink(ctx, "sitting-open", panel.RoleFloor, "floor-hash")
	equal("staff link", link, panel.StaffLink{SittingID: "sitting-open", Role: panel.RoleFloor}, err)
	held, answers, err := s.Answers(ctx, "closed-0-0")
	equal("answers", len(answers), 2, err)
	equal("held", held, panel.RatedServing{ServingID: "closed-0-0", AssessorID: "assessor-closed", At: day(4, 18, 10)}, nil)
	serving, err := s.Serving(ctx, "closed-0-1")
	equal("serving", serving, panel.Serving{ID: "closed-0-1", StudyID: "study-closed", Order: 1, Sitting: 1, Position: 2, Rated: true,
		Sample: "royale", Code: "935"}, err)
}

func TestNewerTables(t *testing.T) {
	file := filepath.Join(t.TempDir(), "newer.db")
	s, err := Open(t.Context(), file)
	if err != nil {
		t.Fatal(err)
	}
	err = s.write.Exec("INSERT INTO goose_db_version (version_id, is_applied) VALUES (9999, TRUE)").Error
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	_, err = Open(t.Context(), file)
	if err == nil || !strings.Contains(err.Error(), "9999") || !strings.Contains(err.Error(), "newer Cloche") {
		t.Errorf("open tables of version 9999: %v, want an error that names the version", err)
	}
}

// TestManyOpenAtOnce opens one new database from several sides, as programs do
// that start together: each finds it ready.
func TestManyOpenAtOnce(t *testing.T) {
	t.Run("sqlite", func(t *testing.T) { openAtOnce(t, filepath.Join(t.TempDir(), "new.db")) })
	t.Run("postgres", func(t *testing.T) { openAtOnce(t, storetest.Postgres(t)) })
}

func openAtOnce(t *testing.T, dsn string) {
	errs := make(chan error)
	const programs = 4
	for range programs {
		go func() {
			s, err := Open(t.Context(), dsn)
			if err == nil {
				_, err = s.Studies(t.Context())
				err = errors.Join(err, s.Close())
			}
			errs <- err
		}()
	}
	for range programs {
		if err := <-errs; err != nil {
			t.Error(err)
		}
	}
}
