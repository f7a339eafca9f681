package server

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"slices"
	"testing"
	"testing/synctest"

	"github.com/gin-gonic/gin"
)

// TestGuestsTakeTurns holds the only turn and lets guests and staff ask.
func TestGuestsTakeTurns(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &server{guests: make(chan struct{}, 1)}
		ask := func(ctx context.Context, of role, handle func(*gin.Context) error) error {
			c, _ := gin.CreateTestContext(httptest.NewRecorder())
			c.Request = httptest.NewRequestWithContext(ctx, http.MethodGet, "/", nil)
			return s.inTurn(c, route{role: of, handle: handle})
		}
		var order []int
		s.guests <- struct{}{}
		for i := range 20 {
			go func() {
				_ = ask(t.Context(), assessor, func(*gin.Context) error { order = append(order, i); return nil })
			}()
			synctest.Wait() // until it waits for its turn
		}
		broken := errors.New("broken")
		if err := ask(t.Context(), floor, func(*gin.Context) error { return broken }); !errors.Is(err, broken) {
			t.Errorf("staff wait behind guests: %v", err)
		}
		ctx, gone := context.WithCancel(t.Context())
		gone()
		if err := ask(ctx, assessor, func(*gin.Context) error { return broken }); !errors.Is(err, context.Canceled) {
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
