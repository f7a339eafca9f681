package store

import (
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"testing"

	"github.com/jackc/pgx/v5/pgconn"

	"cloche/internal/panel"
)

// TestTry checks what is tried again: never a commit whose outcome is unknown.
func TestTry(t *testing.T) {
	tests := []struct {
		name       string
		err        error
		committing bool
		attempts   int // with one failure only, then success
	}{
		{"deadlock", &pgconn.PgError{Code: pgDeadlock}, false, 2},
		{"server shuts down", &pgconn.PgError{Code: pgShutdown}, false, 2},
		{"commit refused", &pgconn.PgError{Code: pgSerialisationFailure}, true, 2},
		{"dead connection", fmt.Errorf("begin: %w", driver.ErrBadConn), false, 2},
		{"connection lost halfway", io.ErrUnexpectedEOF, false, 2},
		{"connection lost at commit", io.ErrUnexpectedEOF, true, 1},
		{"place taken", &pgconn.PgError{Code: "23505"}, false, 1},
		{"full", panel.ErrFull, false, 1},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			made := 0
			err := try(t.Context(), "try", func() (bool, error) {
				if made++; made > 1 {
					return true, nil
				}
				return tc.committing, tc.err
			})
			if made != tc.attempts {
				t.Errorf("%d attempts, want %d", made, tc.attempts)
			}
			if tc.attempts == 1 && !errors.Is(err, tc.err) || tc.attempts == 2 && err != nil {
				t.Errorf("error %v after %v", err, tc.err)
			}
		})
	}
	t.Run("for ever", func(t *testing.T) {
		made := 0
		err := try(t.Context(), "try", func() (bool, error) { made++; return false, driver.ErrBadConn })
		if made != attempts || !errors.Is(err, driver.ErrBadConn) {
			t.Errorf("%d attempts, %v; want %d and the error", made, err, attempts)
		}
	})
}
