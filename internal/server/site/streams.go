package site

import (
	"sync"

	"github.com/gin-gonic/gin"
)

// streams counts the streams of events that are open, by who opened them.
type streams struct {
	mu  sync.Mutex
	all int
	own map[string]int
}

// open counts one more, unless that is too many in all or for this owner.
func (s *streams) open(owner string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.all >= maxStreams || s.own[owner] >= maxOwn {
		return false
	}
	if s.own == nil {
		s.own = map[string]int{}
	}
	s.all++
	s.own[owner]++
	return true
}

func (s *streams) close(owner string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.all--
	if s.own[owner]--; s.own[owner] == 0 {
		delete(s.own, owner)
	}
}

// streamOwner names the session of a request, by the cookie that it came with, or
// the link that needs none.
func (s *Site) streamOwner(c *gin.Context, r Role) string {
	if r == Anyone {
		return c.Param("token")
	}
	for _, name := range s.CookiesOf(r) {
		if cookie, err := c.Request.Cookie(name); err == nil {
			return name + "=" + cookie.Value
		}
	}
	return ""
}
