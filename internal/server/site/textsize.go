package site

import (
	"net/http"

	"github.com/gin-gonic/gin"
)

// textCookie remembers that a person asked for large text.
const textCookie = "cloche-text"

const largeText = "large"

// TakeTextSize notes the size of text that an address asks for, and sends the browser
// to the same page without asking. It reports true when it did.
func (s *Site) TakeTextSize(c *gin.Context) bool {
	asked := c.Query("text")
	if c.Request.Method != http.MethodGet || asked == "" {
		return false
	}
	if asked == largeText {
		s.SetCookie(c, textCookie, largeText, "/", SeatKept)
	} else {
		s.SetCookie(c, textCookie, "", "/", -1)
	}
	c.Redirect(http.StatusSeeOther, addressWith(c.Request, "text", ""))
	return true
}

// sized notes on a frame how large the text is, and where to change that. The
// page that answers a form has no such link, which would lose what was typed.
func (f Frame) sized(c *gin.Context) Frame {
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
