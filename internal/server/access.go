package server

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/server/desk"
	"cloche/internal/server/site"
)

// sameOrigin refuses requests from other sites that change something.
func (s *server) sameOrigin(guard *http.CrossOriginProtection) gin.HandlerFunc {
	return func(c *gin.Context) {
		if guard.Check(c.Request) != nil {
			c.Abort()
			s.Fail(c, site.Anyone, site.ErrForeign)
		}
	}
}

// requireRole is the one place where rights are checked, by the role of the route.
func (s *server) requireRole(r site.Role) gin.HandlerFunc {
	return func(c *gin.Context) {
		err := s.hasRole(c, r)
		if err == nil {
			return
		}
		c.Abort()
		if errors.Is(err, site.ErrSignIn) && r&site.AtDesk != 0 {
			desk.AskToSignIn(s.Site, c, r)
			return
		}
		s.Fail(c, r, err)
	}
}

func (s *server) hasRole(c *gin.Context, r site.Role) error {
	switch {
	case r == site.Nobody:
		return site.ErrRefused
	case r&site.Anyone != 0:
		return nil
	case r&site.Assessor != 0:
		if len(c.Param("token")) > site.MaxToken {
			return site.ErrRefused
		}
		return nil
	}
	return s.AdmitSession(c, r)
}
