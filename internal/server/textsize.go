package server

import (
	"net/http"

	"github.com/gin-gonic/gin"
)

// textCookie remembers that a person asked for large text.
const textCookie = "cloche-text"

const largeText = "large"

// resize notes the size of text that an address asks for, and sends the browser
// to the same page without asking. It reports true when it did.
func (s *server) resize(c *gin.Context) bool {
	asked := c.Query("text")
	if c.Request.Method != http.MethodGet || asked == "" {
		return false
	}
	if asked == largeText {
		s.setCookie(c, textCookie, largeText, "/", seatKept)
	} else {
		s.setCookie(c, textCookie, "", "/", -1)
	}
	c.Redirect(http.StatusSeeOther, addressWith(c.Request, "text", ""))
	return true
}

// sized notes on a frame how large the text is, and where to change that. The
// page that answers a form has no such link, which would lose what was typed.
func (f frame) sized(c *gin.Context) frame {
	cookie, err := c.Request.Cookie(textCookie)
	f.Large = err == nil && cookie.Value == largeText
	if c.Request.Method != http.MethodGet {
		return f
	}
	to := largeText
	if f.Large {
		to = "usual"
	}
	f.TextHref = addressWith(c.Request, "text", to)
	return f
}
