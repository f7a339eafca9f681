package site

import (
	"net/http"

	"github.com/gin-gonic/gin"
)

// MaxToken bounds the length of what is looked up as a token.
const MaxToken = 64

// LeadCookie names the cookie of lead and partner. The prefix __Host- makes browsers
// refuse such a cookie when it comes without TLS or from a neighbouring host.
func (s *Site) LeadCookie() string {
	if s.Secure() {
		return "__Host-cloche-lead"
	}
	return "cloche-lead"
}

// SetCookie sets a cookie that scripts cannot read; seconds below 0 remove it.
func (s *Site) SetCookie(c *gin.Context, name, value, path string, seconds int) {
	http.SetCookie(c.Writer, &http.Cookie{
		Name: name, Value: value, Path: path, MaxAge: seconds,
		HttpOnly: true, Secure: s.Secure(), SameSite: http.SameSiteLaxMode,
	})
}

// SeatCookie names the cookie by which a phone remembers its seat.
const SeatCookie = "cloche-seat"

// SeatKept is how long a phone remembers its seat, in seconds: longer than an
// evening, shorter than a week.
const SeatKept = 36 * 60 * 60

// SessionCookie is how long the browser keeps the lead's cookie, in seconds: longer
// than the session, so that a form that comes after its end is known for what it is
// and not lost.
const SessionCookie = 30 * 24 * 60 * 60
