package server

import (
	"errors"
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"
)

// Errors of access, told apart by [explain].
var (
	errRefused = errors.New("this role may not do that")
	errSignIn  = errors.New("somebody has to sign in, or join, first")
	errNotLead = errors.New("the partner reads, the lead does")
	errForeign = errors.New("the form was sent from another site")
)

// sameOrigin refuses requests from other sites that change something.
func (s *server) sameOrigin(guard *http.CrossOriginProtection) gin.HandlerFunc {
	return func(c *gin.Context) {
		if guard.Check(c.Request) != nil {
			c.Abort()
			s.fail(c, anyone, errForeign)
		}
	}
}

// maxToken bounds the length of what is looked up as a token.
const maxToken = 64

// admit is the one place where rights are checked, by the role of the route.
func (s *server) admit(r role) gin.HandlerFunc {
	return func(c *gin.Context) {
		err := s.admits(c, r)
		if err == nil {
			return
		}
		c.Abort()
		if errors.Is(err, errSignIn) && r&atDesk != 0 {
			s.askToSignIn(c, r)
			return
		}
		s.fail(c, r, err)
	}
}

func (s *server) admits(c *gin.Context, r role) error {
	switch {
	case r == nobody:
		return errRefused
	case r&anyone != 0:
		return nil
	case r&assessor != 0:
		if len(c.Param("token")) > maxToken {
			return errRefused
		}
		return nil
	}
	return s.admitsSession(c, r)
}

// signInPath is where to sign in, and then to go on to the page asked for.
func signInPath(r *http.Request) string {
	if r.Method != http.MethodGet || r.URL.Path == "/studies" {
		return "/sign-in"
	}
	return "/sign-in?to=" + url.QueryEscape(r.URL.RequestURI())
}

// onward returns the page to go to after signing in: a page of the desk and nothing
// else.
func onward(to string) string {
	local := strings.HasPrefix(to, "/studies/") || strings.HasPrefix(to, "/partner") || strings.HasPrefix(to, "/password") || to == logPath
	if local && !strings.ContainsAny(to, "\\\r\n") {
		return to
	}
	return "/studies"
}

// leadCookie and seatCookie name the cookies. The prefix __Host- makes browsers
// refuse such a cookie when it comes without TLS or from a neighbouring host.
func (s *server) leadCookie() string {
	if s.secure() {
		return "__Host-cloche-lead"
	}
	return "cloche-lead"
}

const seatCookie = "cloche-seat"

// setCookie sets a cookie that scripts cannot read; seconds below 0 remove it.
func (s *server) setCookie(c *gin.Context, name, value, path string, seconds int) {
	http.SetCookie(c.Writer, &http.Cookie{
		Name: name, Value: value, Path: path, MaxAge: seconds,
		HttpOnly: true, Secure: s.secure(), SameSite: http.SameSiteLaxMode,
	})
}
