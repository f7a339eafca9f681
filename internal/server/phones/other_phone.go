package phones

import (
	"net/http"
	"net/url"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// onOtherPhone shows an assessor's own link to another phone of theirs.
type onOtherPhone struct {
	onBallot
	QR site.QRCode
}

var otherPhoneScreen = site.PhoneScreen[onOtherPhone]("phones/other_phone")

// otherPhone leads to the same ballot on another phone: one whose battery ends, say. The
// service takes each answer once, whichever phone sends it.
func (s *handlers) otherPhone(c *gin.Context) error {
	token := panel.SeatToken(c.Param("token"))
	b, err := s.Panel.Ballot(c.Request.Context(), token)
	if err != nil {
		return err
	}
	if !b.MayStop || b.Lent { // nothing is left to go on with, or the link ends with the tablet
		return site.SeeOther(c, "/t/"+string(token))
	}
	page := onOtherPhone{onBallot: ballotPage(c, b, token)}
	if page.QR, err = site.NewQR(s.BaseURL(c.Request) + "/t/" + url.PathEscape(string(token))); err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, otherPhoneScreen, page)
}
