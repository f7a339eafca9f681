package panel

import (
	"context"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

func stopped() time.Time { return time.Date(2026, 5, 1, 19, 0, 0, 0, time.UTC) }

// TestManyGuessesAtOnce: 400 wrong passwords from one address at one moment cost one
// hash.
func TestManyGuessesAtOnce(t *testing.T) {
	d := newGuessLimiter(stopped)
	var hashed, refused atomic.Int32
	var all sync.WaitGroup
	for range 400 {
		all.Go(func() {
			err := d.attempt(t.Context(), "192.0.2.7", "", func() (bool, error) {
				return false, d.hashing(t.Context(), func() { hashed.Add(1) })
			})
			if err == ErrSlowDown {
				refused.Add(1)
			}
		})
	}
	all.Wait()
	if hashed.Load() != 1 || refused.Load() != 399 {
		t.Errorf("%d hashes, %d refused; want 1 and 399", hashed.Load(), refused.Load())
	}
}

// TestRightGuessesAtOnceAllCount: a button that is tapped twice, or two people
// behind one address, at once.
func TestRightGuessesAtOnceAllCount(t *testing.T) {
	d := newGuessLimiter(stopped)
	var all sync.WaitGroup
	for range 20 {
		all.Go(func() {
			if err := d.attempt(t.Context(), "192.0.2.7", "", func() (bool, error) { return true, nil }); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
}

// TestFewHashesAtOnce holds hashes open from many addresses: no more than maxHashes
// run, no more than maxQueue are taken, and the rest is told to come later.
func TestFewHashesAtOnce(t *testing.T) {
	d := newGuessLimiter(stopped)
	finish := make(chan struct{})
	var running, most, refused atomic.Int32
	var all sync.WaitGroup
	for range 100 {
		all.Go(func() {
			err := d.hashing(t.Context(), func() {
				most.Store(max(most.Load(), running.Add(1)))
				<-finish
				running.Add(-1)
			})
			if err == ErrSlowDown && refused.Add(1) == 100-maxQueue {
				close(finish) // everybody who is not refused has entered
			}
		})
	}
	all.Wait()
	if most.Load() > maxHashes || refused.Load() != 100-maxQueue {
		t.Errorf("%d hashes at once, %d refused", most.Load(), refused.Load())
	}
}

func TestAGuessThatIsGivenUpWaitsNoLonger(t *testing.T) {
	d := newGuessLimiter(stopped)
	ctx, cancel := context.WithCancel(t.Context())
	err := d.attempt(t.Context(), "here", "", func() (bool, error) {
		cancel()
		if err := d.attempt(ctx, "here", "", nil); err != context.Canceled {
			t.Errorf("the second guess: %v", err)
		}
		return true, nil
	})
	if err != nil {
		t.Error(err)
	}
}

func TestGuessesTakeBoundedMemory(t *testing.T) {
	d := newGuessLimiter(stopped)
	for i := range 2 * maxTries {
		_ = d.attempt(t.Context(), fmt.Sprint("stranger ", i), "", func() (bool, error) { return false, nil })
	}
	if n := len(d.tries); n > maxTries {
		t.Errorf("%d addresses are kept", n)
	}
}

func TestNetwork(t *testing.T) {
	for address, want := range map[string]string{
		"192.0.2.7": "192.0.2.7", "2001:db8:1:2:3:4:5:6": "2001:db8:1:2::/64", "fe80::1%eth0": "fe80::/64",
		"::ffff:192.0.2.7": "::ffff:192.0.2.7", "no address": "no address",
	} {
		if got := network(address); got != want {
			t.Errorf("%s: %s, want %s", address, got, want)
		}
	}
}
