package store

import (
	"context"
	"errors"
	"sync"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/store/storetest"
)

// TestPostgresLocks holds the lock of one kind of call and tries another: either
// it goes on beside, or it waits. Waiting is seen by a deadline that passes.
func TestPostgresLocks(t *testing.T) {
	t.Parallel()
	s := openAt(t, storetest.Postgres(t))
	guests := crowd{study: "locks", assessors: 20, servings: 2, attributes: 2}
	guests.open(t, s)
	seated, rated := 0, 0
	seat := func(ctx context.Context) error {
		_, err := s.Seat(ctx, guests.assessor(seated), guests.token(seated), nil, logged)
		if err == nil {
			seated++
		}
		return err
	}
	rate := func(ctx context.Context) error {
		_, err := storetest.Rate(ctx, s, guests.assessor(rated).ID, guests.turn(rated, 0),
			guests.answers(guests.turn(rated, 0), 1), evening)
		if err == nil {
			rated++
		}
		return err
	}
	closing := func(ctx context.Context) error {
		return s.CloseStudy(ctx, guests.study, evening, logged(panel.Assessor{}))
	}
	for range 5 {
		must(t, seat(t.Context()))
	}
	tests := []struct {
		name  string
		held  string
		call  func(context.Context) error
		waits bool
	}{
		{"rate beside a rating", lockRating, rate, false},
		{"seat beside a rating", lockRating, seat, false},
		{"rate beside a seating", lockSeating, rate, false},
		{"seat after a seating", lockSeating, seat, true},
		{"rate after a change of state", lockState, rate, true},
		{"seat after a change of state", lockState, seat, true},
		{"close after a rating", lockRating, closing, true},
		{"close after a seating", lockSeating, closing, true},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			tx := s.write.Begin()
			defer tx.Rollback()
			_, err := lockStudy(tx, guests.study, tc.held)
			must(t, err)
			patience := 10 * time.Second // ends at once when all is well
			if tc.waits {
				patience = 200 * time.Millisecond
			}
			ctx, cancel := context.WithTimeout(t.Context(), patience)
			defer cancel()
			err = tc.call(ctx)
			if waited := errors.Is(err, context.DeadlineExceeded); waited != tc.waits || err != nil && !waited {
				t.Errorf("waited: %v (%v), want %v", waited, err, tc.waits)
			}
		})
	}
	must(t, closing(t.Context()))
}

// TestConnectionsOfManyAtOnceLost cuts every connection of a filled pool, as a restart
// of the server does: those who rate and read next notice nothing.
func TestConnectionsOfManyAtOnceLost(t *testing.T) {
	t.Parallel()
	s := openAt(t, storetest.Postgres(t))
	guests := crowd{study: "lost", assessors: 2 * postgresConnections, servings: 2, attributes: 2}
	guests.open(t, s)
	guests.seat(t, s)
	everybody := func(call func(n int) error) {
		t.Helper()
		errs := make([]error, guests.assessors)
		var all sync.WaitGroup
		for n := range errs {
			all.Go(func() { errs[n] = call(n) })
		}
		all.Wait()
		must(t, errors.Join(errs...))
	}
	rate := func(order int) func(n int) error {
		return func(n int) error {
			_, err := storetest.Rate(t.Context(), s, guests.assessor(n).ID, guests.turn(n, order),
				guests.answers(guests.turn(n, order), 1), evening)
			return err
		}
	}
	read := func(n int) error {
		_, err := s.AssessorByToken(t.Context(), guests.token(n))
		return err
	}
	cut := func() {
		t.Helper()
		must(t, s.write.Exec(`SELECT pg_terminate_backend(pid) FROM pg_stat_activity
			WHERE datname = current_database() AND pid <> pg_backend_pid()`).Error)
	}
	everybody(rate(0))
	cut()
	everybody(rate(1))
	cut()
	everybody(read)
	ratings, err := s.KeyedAnswers(t.Context(), guests.study)
	must(t, err)
	if want := guests.assessors * guests.servings * guests.attributes; len(ratings) != want {
		t.Errorf("%d ratings kept, want %d", len(ratings), want)
	}
}
