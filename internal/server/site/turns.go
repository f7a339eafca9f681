package site

import (
	"context"
	"runtime"
)

// guestsAtOnce is how many requests of guests' phones are worked on at once; others
// wait in the order in which they came. With a thousand at work on two processors
// the one that writes waits for a processor at every step, and all the rest for it:
// then phones give up, ask again, and nothing is done any more. Enough to keep the
// processors busy while some wait for the disk or for PostgreSQL.
var guestsAtOnce = 40 * runtime.GOMAXPROCS(0)

// InGuestsTurn does the work of a guest's request when its turn comes, or never, if
// the phone gives up before.
func (s *Site) InGuestsTurn(gone context.Context, work func() error) error {
	select {
	case s.guests <- struct{}{}:
		defer func() { <-s.guests }()
	case <-gone.Done():
		return gone.Err()
	}
	return work()
}
