package server

import (
	"errors"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// role is whom a route is for: one role, or several together. The zero value is
// nobody: a route without a role is refused.
type role uint8

const nobody role = 0

// The roles.
const (
	anyone role = 1 << iota
	// assessor is the holder of a join link or a personal link: the token in the
	// path is the right, and panel looks it up.
	assessor
	lead
	partner
	kitchen
	floor
)

// Roles that share pages.
const (
	atDesk = lead | partner  // signed in with a password
	inRoom = kitchen | floor // joined a sitting with a link and a code
)

// String names the roles.
func (r role) String() string {
	if r == nobody {
		return "nobody"
	}
	var words []string
	for i, w := range []string{"anyone", "assessor", "lead", "partner", "kitchen", "floor"} {
		if r&(1<<i) != 0 {
			words = append(words, w)
		}
	}
	return strings.Join(words, ", ")
}

// roleOf is the route table's word for a session's role.
func roleOf(r panel.Role) role {
	switch r {
	case panel.RoleLead:
		return lead
	case panel.RolePartner:
		return partner
	case panel.RoleKitchen:
		return kitchen
	case panel.RoleFloor:
		return floor
	case panel.RoleNobody, panel.RoleAssessor:
	}
	return nobody
}

// sessionKey is where a request keeps whose it is.
const sessionKey = "session"

// who returns whose request it is; nobody's on pages for anyone.
func who(c *gin.Context) panel.Session {
	session, _ := c.Get(sessionKey)
	by, _ := session.(panel.Session)
	return by
}

// admitsSession admits a request that carries a session of one of the roles.
func (s *server) admitsSession(c *gin.Context, r role) error {
	refused := errSignIn
	for _, name := range s.cookiesOf(r) {
		by, err := s.sessionIn(c, name)
		if errors.Is(err, panel.ErrNotFound) {
			continue
		}
		if err != nil {
			return err
		}
		if roleOf(by.Role)&r != 0 {
			c.Set(sessionKey, by)
			return nil
		}
		if by.Role == panel.RolePartner {
			c.Set(sessionKey, by)
			refused = errNotLead
		}
	}
	return refused
}

// sessionIn returns the session whose token a cookie holds.
func (s *server) sessionIn(c *gin.Context, name string) (panel.Session, error) {
	cookie, err := c.Request.Cookie(name)
	if err != nil || len(cookie.Value) > maxToken {
		return panel.Session{}, panel.ErrNotFound
	}
	return s.svc.Session(c.Request.Context(), cookie.Value)
}

// cookiesOf names the cookies that may hold a session of one of the roles. A
// tablet can be the kitchen's of one study and the floor's of another.
func (s *server) cookiesOf(r role) []string {
	var names []string
	if r&atDesk != 0 {
		names = append(names, s.leadCookie())
	}
	if r&kitchen != 0 {
		names = append(names, s.staffCookie(panel.RoleKitchen))
	}
	if r&floor != 0 {
		names = append(names, s.staffCookie(panel.RoleFloor))
	}
	return names
}

// staffCookie names the cookie of kitchen or floor.
func (s *server) staffCookie(r panel.Role) string {
	name := "cloche-" + r.String()
	if s.secure() {
		return "__Host-" + name
	}
	return name
}

// signedIn reports whether the request comes from the lead or the partner.
func (s *server) signedIn(c *gin.Context) (bool, error) {
	_, err := s.sessionIn(c, s.leadCookie())
	if errors.Is(err, panel.ErrNotFound) {
		return false, nil
	}
	return err == nil, err
}
