package room

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// handOverPage shows the next of the floor the way in.
type handOverPage struct {
	site.StaffFrame
	QR      site.QRCode
	Minutes int
}

// takeOverPage is what the next one sees before coming in: not even which study it is.
type takeOverPage struct {
	site.StaffFrame
	Token    panel.HandOverToken
	Problems []site.Problem
}

var (
	handOverScreen = site.StaffScreen[handOverPage]("room/hand_over")
	takeOverScreen = site.StaffScreen[takeOverPage]("room/take_over")
)

func (s *handlers) handOver(c *gin.Context) error {
	by := site.SessionOf(c)
	r, err := s.Panel.Room(c.Request.Context(), by)
	if err != nil {
		return err
	}
	token, err := s.Panel.HandOver(c.Request.Context(), by)
	if err != nil {
		return err
	}
	page := handOverPage{StaffFrame: site.StaffFrameFor(c, by.Role, "Hand over", r.Sitting, r.Invented),
		Minutes: int(panel.HandOverLasts.Minutes())}
	if page.QR, err = site.NewQR(s.BaseURL(c.Request) + "/take-over/" + string(token)); err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, handOverScreen, page)
}

func (s *handlers) takeOverForm(c *gin.Context) error {
	page, err := s.takeOverPage(c)
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, takeOverScreen, page)
}

func (s *handlers) takeOverPage(c *gin.Context) (takeOverPage, error) {
	token := c.Param("token")
	if len(token) > site.MaxToken {
		return takeOverPage{}, panel.ErrNotFound
	}
	return takeOverPage{StaffFrame: site.StaffFrameFor(c, panel.RoleFloor, "Take over", 0, false),
		Token: panel.HandOverToken(token)}, nil
}

func (s *handlers) takeOver(c *gin.Context) error {
	page, err := s.takeOverPage(c)
	if err != nil {
		return err
	}
	session, err := s.Panel.TakeOver(c.Request.Context(), page.Token, s.heldHere(c)...)
	switch {
	case err == nil:
		s.SetCookie(c, s.StaffCookie(panel.RoleFloor), string(session), "/", site.SessionCookie)
		return site.SeeOther(c, "/floor")
	case errors.Is(err, panel.ErrOtherRole):
		page.Problems = []site.Problem{{Text: otherRole(page.Tongue(), panel.RoleFloor, s.lentHere(c))}}
	case errors.Is(err, panel.ErrNotFound), errors.Is(err, panel.ErrCode):
		page.Problems = []site.Problem{{Text: page.Tongue().Translate("This code was used, or is too old. Have a new " +
			"one shown on the floor’s page, or join with the link and the six digits on the lead’s page.")}}
	default:
		return err
	}
	return site.Show(s.Site, c, http.StatusConflict, takeOverScreen, page)
}
