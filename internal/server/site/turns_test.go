package site

import (
	"context"
	"errors"
	"slices"
	"testing"
	"testing/synctest"
)

// TestGuestsAtOnceTakeTurns holds the only turn and lets guests ask.
func TestGuestsAtOnceTakeTurns(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &Site{guests: make(chan struct{}, 1)}
		var order []int
		s.guests <- struct{}{}
		for i := range 20 {
			go func() {
				_ = s.InGuestsTurn(t.Context(), func() error { order = append(order, i); return nil })
			}()
			synctest.Wait() // until it waits for its turn
		}
		ctx, gone := context.WithCancel(t.Context())
		gone()
		broken := errors.New("broken")
		if err := s.InGuestsTurn(ctx, func() error { return broken }); !errors.Is(err, context.Canceled) {
			t.Errorf("a phone that gave up: %v", err)
		}
		if len(order) != 0 {
			t.Errorf("%d went before their turn", len(order))
		}
		<-s.guests
		synctest.Wait()
		if len(order) != 20 || !slices.IsSorted(order) {
			t.Errorf("handled in the order %v", order)
		}
	})
}
