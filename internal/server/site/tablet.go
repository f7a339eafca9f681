package site

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// TabletPath is where the house's tablet waits for the next guest.
const TabletPath = "/tablet"

// tabletGone stands in the cookie of a tablet that nobody's ballot is on.
const tabletGone = "given-back"

// BecomeTablet notes that a browser is the house's tablet, with the ballot on it of a guest who
// reads the language of a tag, "" where none was said. What the
// browser remembers of who had it before goes.
func (s *Site) BecomeTablet(c *gin.Context, token panel.SeatToken, tag string) {
	s.SetCookie(c, s.StaffCookie(panel.RoleTablet), string(token), "/", SessionCookie)
	s.SpeakHere(c, tag)
	s.SetCookie(c, textCookie, "", "/", -1)
	s.SetCookie(c, SeatCookie, "", "/join/", -1)
}

// TabletReturns ends what a tablet shows, when it is one in a guest's hands. The cookie changes
// too: browsers then forget the pages that they would show again by going back.
func (s *Site) TabletReturns(c *gin.Context) error {
	name := s.StaffCookie(panel.RoleTablet)
	if cookie, err := c.Request.Cookie(name); err != nil || cookie.Value == tabletGone {
		return nil
	}
	held, lent, err := s.LentHere(c)
	if err != nil {
		return err
	}
	if lent {
		if err := s.Panel.GiveBack(c.Request.Context(), held); err != nil {
			return err
		}
	}
	s.SetCookie(c, name, tabletGone, "/", SessionCookie)
	s.SpeakHere(c, "")
	return nil
}

// IsTablet reports whether a browser is or was the house's tablet.
func (s *Site) IsTablet(c *gin.Context) bool {
	_, err := c.Request.Cookie(s.StaffCookie(panel.RoleTablet))
	return err == nil
}

// LentHere returns the link of the ballot that is on a tablet now.
func (s *Site) LentHere(c *gin.Context) (panel.SeatToken, bool, error) {
	name := s.StaffCookie(panel.RoleTablet)
	by, err := s.SessionIn(c, name)
	if errors.Is(err, panel.ErrNotFound) {
		return "", false, nil
	}
	if err != nil || by.Role != panel.RoleTablet {
		return "", false, err
	}
	cookie, err := c.Request.Cookie(name)
	return panel.SeatToken(cookie.Value), err == nil, err
}

// OnTablet is a handler of a guest's pages on a device that may be the house's tablet: a ballot
// that was given back leads to the tablet's own page, or to whose ballot is on it now.
func (s *Site) OnTablet(handle func(*gin.Context) error) func(*gin.Context) error {
	return func(c *gin.Context) error {
		err := handle(c)
		if errors.Is(err, panel.ErrNotFound) && s.IsTablet(c) && c.GetHeader("Accept") != "application/json" {
			c.Status(http.StatusOK)
			return SeeOther(c, TabletPath)
		}
		return err
	}
}
