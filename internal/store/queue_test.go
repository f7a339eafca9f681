package store

import (
	"context"
	"errors"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"gorm.io/gorm"
)

// TestManyAtOnceAreServedAsTheyCame lets many wait for the writing connection and checks
// that they get it in the order in which they came.
func TestManyAtOnceAreServedAsTheyCame(t *testing.T) {
	s := openSQLite(t)
	var order []int
	synctest.Test(t, func(t *testing.T) {
		q := newQueue(1)
		if err := q.enter(t.Context()); err != nil {
			t.Fatal(err)
		}
		for i := range 50 {
			go func() {
				if q.enter(t.Context()) == nil {
					order = append(order, i)
					q.leave()
				}
			}()
			synctest.Wait() // until it stands in the queue
		}
		q.leave()
		synctest.Wait() // before the context ends
	})
	if len(order) != 50 || !slices.IsSorted(order) {
		t.Errorf("served in the order %v", order)
	}

	// What writes stands in that queue.
	if err := s.writers.enter(t.Context()); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer cancel()
	nothing := func(*gorm.DB) error { return nil }
	if err := s.writing(ctx, "write", nothing); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("a write beside another: %v", err)
	}
	if err := s.reading(t.Context(), "read", nothing); err != nil {
		t.Errorf("a read beside a write: %v", err)
	}
	s.writers.leave()
	if err := s.writing(t.Context(), "write", nothing); err != nil {
		t.Errorf("a write after another: %v", err)
	}
}
