package site

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
)

// TestSharedPartForManyAtOnceIsMadeOnce lets fifty watch the same and counts how often it is
// made, over changes that come one after another.
func TestSharedPartForManyAtOnceIsMadeOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var s sharedParts
		var made, state atomic.Int64
		render := func(context.Context) ([]byte, error) {
			made.Add(1)
			now := state.Load()
			time.Sleep(30 * time.Millisecond)
			return fmt.Append(nil, now), nil
		}
		begun := time.Now()
		for range 10 { // changes, a tenth of a second apart
			time.Sleep(100 * time.Millisecond)
			changed, want := time.Now(), state.Add(1)
			var all sync.WaitGroup
			for range 50 {
				all.Go(func() {
					part, err := s.Of(t.Context(), "a", changed, render)
					var seen int64
					if _, scan := fmt.Sscan(string(part), &seen); err != nil || scan != nil || seen < want {
						t.Errorf("seen %s, %v; want %d or later", part, err, want)
					}
				})
			}
			all.Wait()
		}
		if most := int64(time.Since(begun)/SharedEvery) + 1; made.Load() > most || made.Load() < 2 {
			t.Errorf("made %d times in %s, want at most %d", made.Load(), time.Since(begun), most)
		}
		if _, err := s.Of(t.Context(), "b", time.Now(), render); err != nil || made.Load() == 0 {
			t.Error(err)
		}
	})
}

func TestSharedPartForgetsErrorsAndIsBounded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var s sharedParts
		broken := errors.New("broken")
		if _, err := s.Of(t.Context(), "a", time.Now(),
			func(context.Context) ([]byte, error) { return nil, broken }); !errors.Is(err, broken) {
			t.Errorf("error %v", err)
		}
		fine := func(ctx context.Context) ([]byte, error) { return []byte("fine"), ctx.Err() }
		if part, err := s.Of(t.Context(), "a", time.Now(), fine); err != nil || string(part) != "fine" {
			t.Errorf("after an error: %s, %v", part, err)
		}
		ctx, gone := context.WithCancel(t.Context())
		gone()
		if _, err := s.Of(ctx, "a", time.Now().Add(time.Hour), fine); !errors.Is(err, context.Canceled) {
			t.Errorf("whoever has gone still waits: %v", err)
		}
		for i := range 3 * maxShared {
			if _, err := s.Of(t.Context(), fmt.Sprint(i), time.Now(), fine); err != nil {
				t.Fatal(err)
			}
		}
		if len(s.parts) > maxShared {
			t.Errorf("%d are kept, want at most %d", len(s.parts), maxShared)
		}
	})
}
