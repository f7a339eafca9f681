package store

import "context"

// queue lets so many in at once and everybody else wait in the order in which they
// came. A pool of connections alone hands a free one to whoever waits, by chance
// (package database/sql): under load somebody is passed over until they time out.
//
// A goroutine that waits to send on a full channel is served before any that comes
// later; TestManyAtOnceAreServedAsTheyCame holds that.
type queue chan struct{}

func newQueue(atOnce int) queue { return make(queue, atOnce) }

// enter waits for a turn, or until ctx ends. Each enter without error needs a leave.
func (q queue) enter(ctx context.Context) error {
	select {
	case q <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (q queue) leave() { <-q }
