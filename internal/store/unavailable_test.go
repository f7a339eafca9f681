package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/mattn/go-sqlite3"

	"cloche/internal/panel"
	"cloche/internal/store/storetest"
)

func TestUnavailable(t *testing.T) {
	tests := []struct {
		name string
		err  error
		want bool
	}{
		{"locked", sqlite3.Error{Code: sqlite3.ErrBusy}, true},
		{"full", sqlite3.Error{Code: sqlite3.ErrFull}, true},
		{"broken disk", fmt.Errorf("commit: %w", sqlite3.Error{Code: sqlite3.ErrIoErr}), true},
		{"damaged file", sqlite3.Error{Code: sqlite3.ErrCorrupt}, false},
		{"constraint", sqlite3.Error{Code: sqlite3.ErrConstraint}, false},
		{"server starts", &pgconn.PgError{Code: pgStarting}, true},
		{"server's disk is full", &pgconn.PgError{Code: "53100"}, true},
		{"read-only server", &pgconn.PgError{Code: "25006"}, true},
		{"no such table", &pgconn.PgError{Code: "42P01"}, false},
		{"connection lost at the commit", driverLost(), true},
		{"nobody answered in time", context.DeadlineExceeded, true},
		{"the phone hung up", context.Canceled, false},
		{"full panel", panel.ErrFull, false},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			if got := unavailable(tc.err); got != tc.want {
				t.Errorf("unavailable(%v) = %v, want %v", tc.err, got, tc.want)
			}
			if got := errors.Is(translated(tc.err), panel.ErrUnavailable); got != tc.want {
				t.Errorf("found(%v) is ErrUnavailable: %v, want %v", tc.err, got, tc.want)
			}
		})
	}
}

func driverLost() error { return fmt.Errorf("commit: %w", &pgconn.ConnectError{}) }

// TestComesBack takes the database away while somebody rates: the call says so and
// keeps nothing; when the database is back the same call succeeds.
func TestComesBack(t *testing.T) {
	t.Parallel()
	outages := []struct {
		name string
		// take takes the database away and returns how to give it back.
		take func(t *testing.T, s *Store, path string) (back func())
	}{
		{"disk full", func(t *testing.T, s *Store, _ string) func() {
			var pages int
			must(t, s.write.Raw("PRAGMA page_count").Scan(&pages).Error)
			must(t, s.write.Exec(fmt.Sprintf("PRAGMA max_page_count = %d", pages)).Error)
			return func() { must(t, s.write.Exec("PRAGMA max_page_count = 1000000").Error) }
		}},
		{"read-only", func(t *testing.T, s *Store, _ string) func() {
			must(t, s.write.Exec("PRAGMA query_only = ON").Error)
			return func() { must(t, s.write.Exec("PRAGMA query_only = OFF").Error) }
		}},
		{"locked by another program", func(t *testing.T, s *Store, path string) func() {
			must(t, s.write.Exec("PRAGMA busy_timeout = 50").Error)
			other, err := sql.Open("sqlite3", sqliteDSN(path, true))
			must(t, err)
			tx, err := other.Begin()
			must(t, err)
			return func() { must(t, tx.Rollback()); must(t, other.Close()) }
		}},
	}
	for _, outage := range outages {
		t.Run(outage.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "c.db")
			s := openAt(t, path)
			goAway(t, s, func() func() { return outage.take(t, s, path) })
		})
	}
	t.Run("postgres read-only", func(t *testing.T) {
		dsn := storetest.Postgres(t)
		s := openAt(t, dsn)
		admin, err := sql.Open("pgx", dsn)
		must(t, err)
		defer admin.Close()
		admin.SetMaxOpenConns(1) // which stays writable
		set := func(value string) {
			for _, statement := range []string{
				"SET default_transaction_read_only = off",
				"DO $$ BEGIN EXECUTE format('ALTER DATABASE %I SET default_transaction_read_only = " + value +
					"', current_database()); END $$",
				"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND pid " +
					"<> pg_backend_pid()",
			} {
				_, err := admin.Exec(statement)
				must(t, err)
			}
		}
		goAway(t, s, func() func() { set("on"); return func() { set("off") } })
	})
}

func goAway(t *testing.T, s *Store, take func() func()) {
	t.Helper()
	guests := crowd{study: "away", assessors: 40, servings: 8, attributes: 20}
	guests.open(t, s)
	guests.seat(t, s)
	back := take()
	kept := map[panel.TurnID]bool{}
	var refused []panel.TurnID
	for n := range guests.assessors { // a page that has room left takes the first ones
		for order := range guests.servings {
			id := guests.turn(n, order)
			_, err := storetest.Rate(t.Context(), s, guests.assessor(n).ID, id, guests.answers(id, 1), evening)
			switch {
			case err == nil:
				kept[id] = true
			case errors.Is(err, panel.ErrUnavailable):
				refused = append(refused, id)
			default:
				t.Fatalf("rate: %v, want ErrUnavailable", err)
			}
			if len(refused) == 2 {
				break
			}
		}
		if len(refused) == 2 {
			break
		}
	}
	if len(refused) == 0 {
		t.Fatal("everything was kept: the database did not go away")
	}
	back()
	for n := range guests.assessors {
		for order := range guests.servings {
			first, err := storetest.Rate(t.Context(), s, guests.assessor(n).ID, guests.turn(n, order),
				guests.answers(guests.turn(n, order), 1), evening)
			must(t, err)
			if first == kept[guests.turn(n, order)] {
				t.Errorf("turn %s: new %v after it was acknowledged: %v", guests.turn(n, order), first, !first)
			}
		}
	}
}

// TestPatienceOfManyAtOnce waits for a lock no longer than the bound, however many wait.
func TestPatienceOfManyAtOnce(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("takes as long as the patience")
	}
	path := filepath.Join(t.TempDir(), "c.db")
	s := openAt(t, path)
	other, err := sql.Open("sqlite3", sqliteDSN(path, true))
	must(t, err)
	defer other.Close()
	tx, err := other.Begin()
	must(t, err)
	began := time.Now()
	errs := make(chan error)
	const callers = 12
	for range callers {
		go func() { errs <- s.AppendEvent(context.Background(), panel.Event{At: evening, What: "waits"}) }()
	}
	for range callers {
		if err := <-errs; !errors.Is(err, panel.ErrUnavailable) {
			t.Errorf("a call against a lock: %v, want ErrUnavailable", err)
		}
	}
	if waited := time.Since(began); waited > 2*patience {
		t.Errorf("%d callers waited %v", callers, waited)
	}
	must(t, tx.Rollback())
	must(t, s.AppendEvent(t.Context(), panel.Event{At: evening, What: "goes on"}))
}
