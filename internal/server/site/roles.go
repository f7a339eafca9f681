package site

import (
	"errors"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// Role is whom a route is for: one role, or several together. The zero value is
// nobody: a route without a role is refused.
type Role uint16

const Nobody Role = 0

// The roles.
const (
	Anyone Role = 1 << iota
	// Assessor is the holder of a join link or a personal link: the token in the
	// path is the right, and panel looks it up.
	Assessor
	Lead
	partner
	Kitchen
	Floor
	monitor
	named
	Owner
)

// Roles that share pages.
const (
	Takers  = Lead | partner          // may take files with data away
	Readers = Takers | monitor        // have a role in the study, or in all studies
	AtDesk  = Readers | named | Owner // signed in under a name
	InRoom  = Kitchen | Floor         // joined a sitting with a link and a code
)

// String names the roles.
func (r Role) String() string {
	if r == Nobody {
		return "nobody"
	}
	var words []string
	for i, w := range []string{"anyone", "assessor", "lead", "partner", "kitchen", "floor", "monitor", "named",
		"owner"} {
		if r&(1<<i) != 0 {
			words = append(words, w)
		}
	}
	return strings.Join(words, ", ")
}

// rolesOf are the route table's words for a session.
func rolesOf(by panel.Session) Role {
	r := roleOf(by.Role)
	if by.Owner {
		r |= Owner
	}
	return r
}

func roleOf(r panel.Role) Role {
	switch r {
	case panel.RoleLead:
		return Lead
	case panel.RolePartner:
		return partner
	case panel.RoleKitchen:
		return Kitchen
	case panel.RoleFloor:
		return Floor
	case panel.RoleMonitor:
		return monitor
	case panel.RoleNamed:
		return named
	case panel.RoleNobody, panel.RoleAssessor, panel.RoleTablet:
	}
	return Nobody
}

// sessionKey is where a request keeps whose it is.
const sessionKey = "session"

// SessionOf returns whose request it is; nobody's on pages for anyone.
func SessionOf(c *gin.Context) panel.Session {
	session, _ := c.Get(sessionKey)
	by, _ := session.(panel.Session)
	return by
}

// IsOwner reports whether a request comes from the owner.
func IsOwner(c *gin.Context) bool { return SessionOf(c).Owner }

// AdmitSession admits a request that carries a session of one of the roles. A device cannot be
// somebody's of the house and show a guest's ballot as the tablet: whose it is now, it shows that
// no more.
func (s *Site) AdmitSession(c *gin.Context, r Role) error {
	refused := ErrSignIn
	for _, name := range s.CookiesOf(r) {
		by, err := s.SessionIn(c, name)
		if errors.Is(err, panel.ErrNotFound) && !errors.Is(err, panel.ErrNoStudy) {
			continue
		}
		if err != nil {
			return err
		}
		if rolesOf(by)&r != 0 {
			c.Set(sessionKey, by)
			return s.TabletReturns(c)
		}
		if by.UserID != "" {
			c.Set(sessionKey, by)
			refused = errNotLead
			if r == Owner {
				refused = errNotOwner
			}
		}
	}
	return refused
}

// SessionIn returns the session whose token a cookie holds: of a user, as they are in the study
// that the request is about. Where they have no role there, [panel.ErrNoStudy].
func (s *Site) SessionIn(c *gin.Context, name string) (panel.Session, error) {
	cookie, err := c.Request.Cookie(name)
	if err != nil || len(cookie.Value) > MaxToken {
		return panel.Session{}, panel.ErrNotFound
	}
	token := panel.SessionToken(cookie.Value)
	if id := StudyIn(c); id != "" {
		return s.Panel.SessionIn(c.Request.Context(), token, id)
	}
	return s.Panel.Session(c.Request.Context(), token)
}

// CookiesOf names the cookies that may hold a session of one of the roles. A
// tablet can be the kitchen's of one study and the floor's of another.
func (s *Site) CookiesOf(r Role) []string {
	var names []string
	if r&AtDesk != 0 {
		names = append(names, s.LeadCookie())
	}
	if r&Kitchen != 0 {
		names = append(names, s.StaffCookie(panel.RoleKitchen))
	}
	if r&Floor != 0 {
		names = append(names, s.StaffCookie(panel.RoleFloor))
	}
	return names
}

// StaffCookie names the cookie of kitchen, floor or the house's tablet.
func (s *Site) StaffCookie(r panel.Role) string {
	name := "cloche-" + r.String()
	if s.Secure() {
		return "__Host-" + name
	}
	return name
}

// SignedIn reports whether the request comes from a user, also on a page for anyone, and then
// goes on in their language.
func (s *Site) SignedIn(c *gin.Context) (bool, error) {
	by, err := s.SessionIn(c, s.LeadCookie())
	if errors.Is(err, panel.ErrNotFound) {
		return false, nil
	}
	if err == nil {
		c.Set(sessionKey, by)
	}
	return err == nil, err
}
