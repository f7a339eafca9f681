package store

import (
	"context"
	"errors"
	"testing"
	"time"

	"cloche/internal/store/storetest"
)

// TestPostgresLocks holds the lock of one kind of call and tries another: either
// it goes on beside, or it waits. Waiting is seen by a deadline that passes.
func TestPostgresLocks(t *testing.T) {
	s := openAt(t, storetest.Postgres(t))
	guests := crowd{study: "locks", assessors: 20, servings: 2, attributes: 2}
	guests.open(t, s)
	seated, rated := 0, 0
	seat := func(ctx context.Context) error {
		_, err := s.Seat(ctx, guests.assessor(seated), guests.token(seated))
		if err == nil {
			seated++
		}
		return err
	}
	rate := func(ctx context.Context) error {
		_, err := s.Rate(ctx, guests.assessor(rated).ID, guests.serving(rated, 0), guests.answers(1), false)
		if err == nil {
			rated++
		}
		return err
	}
	closing := func(ctx context.Context) error { return s.CloseStudy(ctx, guests.study, evening) }
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
