package server

import (
	"runtime"

	"github.com/gin-gonic/gin"
)

// guestsAtOnce is how many requests of guests' phones are worked on at once; others
// wait in the order in which they came. With a thousand at work on two processors
// the one that writes waits for a processor at every step, and all the rest for it:
// then phones give up, ask again, and nothing is done any more. Enough to keep the
// processors busy while some wait for the disk or for PostgreSQL.
var guestsAtOnce = 12 * runtime.GOMAXPROCS(0)

// inTurn handles a request; a guest's, when its turn comes or never, if its phone
// gives up before. A stream takes a turn for each event, not for as long as it is open.
// The form was read by then: no slow phone holds a turn. Staff need
// not wait behind guests.
func (s *server) inTurn(c *gin.Context, r route) error {
	if r.role != assessor || r.path == ballotStream {
		return r.handle(c)
	}
	gone := c.Request.Context()
	select {
	case s.guests <- struct{}{}:
		defer func() { <-s.guests }()
	case <-gone.Done():
		return gone.Err()
	}
	return r.handle(c)
}
