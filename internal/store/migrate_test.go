package store

import (
	"archive/zip"
	"errors"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"
	"gorm.io/gorm"

	"cloche/internal/store/storetest"
)

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
	kinds := strings.NewReplacer("datetime", "time", "timestamp with time zone", "time", "bigint", "integer", "bytea",
		"blob")
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

// TestTablesAreBackedUpBeforeTheyChange: whoever begins with a newer program finds what the older one left in
// a backup, and where none can be written the tables stay as they were.
func TestTablesAreBackedUpBeforeTheyChange(t *testing.T) {
	for name, dsn := range map[string]string{"sqlite": filepath.Join(t.TempDir(), "house.db"),
		"postgres": storetest.Postgres(t)} {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			begin := func(dir string) error {
				s, err := OpenBackedUp(t.Context(), dsn, dir, time.Date(2026, 11, 20, 19, 0, 0, 0, time.UTC))
				if err == nil {
					err = s.Close()
				}
				return err
			}
			kept := func() []string {
				names, err := filepath.Glob(filepath.Join(folder, "*"))
				if err != nil {
					t.Fatal(err)
				}
				return names
			}
			if err := errors.Join(begin(folder), begin(folder)); err != nil || len(kept()) > 0 {
				t.Fatalf("a new database, twice: %v, backed up as %v", err, kept())
			}
			first, err := fs.ReadFile(embedded, "migrations/0001_start.sql")
			if err != nil {
				t.Fatal(err)
			}
			defer func(were fs.FS) { migrations = were }(migrations)
			migrations = fstest.MapFS{"migrations/0001_start.sql": {Data: first},
				"migrations/0002_more.sql": {Data: []byte("CREATE TABLE more (id text PRIMARY KEY NOT NULL);")}}
			err = begin(filepath.Join(folder, "gone"))
			if err == nil || !strings.Contains(err.Error(), "--backup-dir") {
				t.Errorf("into a folder that is not there: %v", err)
			}
			if err := begin(folder); err != nil {
				t.Fatal(err)
			}
			want := filepath.Join(folder, "before-tables-1-20261120-190000.zip")
			if got := kept(); !slices.Equal(got, []string{want}) {
				t.Fatalf("backed up as %v, want %s", got, want)
			}
			archive, err := zip.OpenReader(want)
			if err != nil {
				t.Fatal(err)
			}
			defer archive.Close()
			for _, file := range archive.File {
				if file.Name == "tables/more.jsonl" {
					t.Error("the backup was made after the change")
				}
			}
			if err := begin(filepath.Join(folder, "gone")); err != nil || len(kept()) != 1 {
				t.Errorf("once more: %v, backed up as %v", err, kept())
			}
		})
	}
}

// TestManyOpenAtOnce opens one new database from several sides, as programs do
// that start together: each finds it ready.
func TestManyOpenAtOnce(t *testing.T) {
	t.Parallel()
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
