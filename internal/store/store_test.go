package store

import (
	"path/filepath"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/store/storetest"
)

func TestSQLite(t *testing.T) {
	storetest.Run(t, func(t *testing.T) panel.Store { return openSQLite(t) })
}

func TestPostgres(t *testing.T) {
	storetest.NeedPostgres(t)
	storetest.Run(t, func(t *testing.T) panel.Store { return openAt(t, storetest.Postgres(t)) })
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
