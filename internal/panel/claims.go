package panel

import (
	"sync"
	"time"
)

// ClaimLasts is for how long a plate is whose code somebody typed. Two minutes from the
// pass to a table: common practice, no source.
const ClaimLasts = 2 * time.Minute

// claims say who of the floor has which plates in the hand, so that no two carry the same.
// They are kept in memory: whoever types a code again has it again.
type claims struct {
	mu  sync.Mutex
	all map[TurnID]claim
}

type claim struct {
	who string
	at  time.Time
}

// take claims the plates of a turn for somebody; it returns who else has them, and whether
// the claim is new.
func (c *claims) take(id TurnID, who string, now time.Time) (other string, fresh bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for old, x := range c.all {
		if now.Sub(x.at) >= ClaimLasts {
			delete(c.all, old)
		}
	}
	x, found := c.all[id]
	if found && x.who != who {
		return x.who, false
	}
	if c.all == nil {
		c.all = map[TurnID]claim{}
	}
	c.all[id] = claim{who, now}
	return "", !found
}

// of returns who has the plates of a turn; "" when nobody does.
func (c *claims) of(id TurnID, now time.Time) string {
	c.mu.Lock()
	defer c.mu.Unlock()
	if x, found := c.all[id]; found && now.Sub(x.at) < ClaimLasts {
		return x.who
	}
	return ""
}

// claimed says of a seat of the floor who else has its plates in the hand.
func (s *Service) claimed(by Session, t FloorSeat, now time.Time) string {
	if t.State != SeatWaiting {
		return ""
	}
	if who := s.claims.of(t.Next.ID, now); who != by.Who() {
		return who
	}
	return ""
}
