package store

import (
	"path/filepath"
	"strings"
	"testing"

	"gorm.io/gorm/logger"

	"cloche/internal/panel"
	"cloche/internal/store/storetest"
)

func TestSQLite(t *testing.T) {
	t.Parallel()
	in := &statements{Interface: logger.Discard, seen: map[string]bool{}}
	storetest.Run(t, func(t *testing.T) panel.Store { return noted(openSQLite(t), in) })
	checkPlans(t, in)
}

func TestPostgres(t *testing.T) {
	t.Parallel()
	dsn := storetest.Postgres(t)
	storetest.Run(t, func(t *testing.T) panel.Store {
		s := openAt(t, dsn)
		t.Cleanup(func() { empty(t, s) })
		return s
	})
}

// empty takes every row out of a PostgreSQL database, so that the next test need not
// make one: that, like TRUNCATE, makes a hundred files. One statement, so that foreign
// keys are looked at when all rows are gone.
func empty(t *testing.T, s *Store) {
	t.Helper()
	var deletes []string
	must(t, s.write.Raw(`SELECT 'd' || oid || ' AS (DELETE FROM ' || relname || ')' FROM pg_class
		WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace AND relname <> ?`,
		versionTable).Scan(&deletes).Error)
	must(t, s.write.Exec("WITH "+strings.Join(deletes, ", ")+" SELECT 1").Error)
}

func openSQLite(t testing.TB) *Store {
	t.Helper()
	return openAt(t, filepath.Join(t.TempDir(), "cloche.db"))
}

func openAt(t testing.TB, dsn string) *Store {
	t.Helper()
	s, err := Open(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Errorf("close: %v", err)
		}
	})
	return s
}
