package store

import (
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

// TestCopyThatDiffersIsTold compares a manifest with a database that has one row more, and
// copies a database into itself.
func TestCopyThatDiffersIsTold(t *testing.T) {
	s := openSQLite(t)
	killed.open(t, s)
	at := time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)
	to := filepath.Join(t.TempDir(), "copy.db")
	m, err := Copy(t.Context(), s.name, to, at)
	if err != nil || m.Rows() == 0 {
		t.Fatalf("%d rows, %v", m.Rows(), err)
	}
	must(t, s.mustHold(t.Context(), m, at))
	must(t, s.AppendEvent(t.Context(), panel.Event{At: at, Who: "lead", What: "tried"}))
	if err := s.mustHold(t.Context(), m, at); err == nil || !strings.Contains(err.Error(), "events has") {
		t.Errorf("with one event more: %v", err)
	}
	// The same number of rows, another value.
	again, err := OpenAsIs(t.Context(), to)
	must(t, err)
	defer again.Close()
	must(t, again.write.Exec("UPDATE studies SET file = file || ' '").Error)
	if err := again.mustHold(t.Context(), m, at); err == nil || !strings.Contains(err.Error(), "studies has") {
		t.Errorf("with another text: %v", err)
	}
	var refused *OpenError
	if _, err := Copy(t.Context(), s.name, to, at); !errors.As(err, &refused) {
		t.Errorf("into a database that is filled: %v", err)
	}
}
