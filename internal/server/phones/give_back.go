package phones

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

var giveBackScreen = site.PhoneScreen[onBallot]("phones/give_back")

// giveBackForm asks a guest whether the house's tablet goes back before the tasting is over.
func (s *handlers) giveBackForm(c *gin.Context) error {
	token := panel.SeatToken(c.Param("token"))
	b, err := s.Panel.Ballot(c.Request.Context(), token)
	if err != nil {
		return err
	}
	if !b.Lent {
		return backToBallot(c)
	}
	return site.Show(s.Site, c, http.StatusOK, giveBackScreen, ballotPage(c, b, token))
}

// giveBack makes the house's tablet ready for the next guest: its link to the ballot ends.
func (s *handlers) giveBack(c *gin.Context) error {
	b, err := s.Panel.Ballot(c.Request.Context(), panel.SeatToken(c.Param("token")))
	if err != nil {
		return err
	}
	if !b.Lent {
		return backToBallot(c)
	}
	if err := s.Panel.GiveBack(c.Request.Context(), panel.SeatToken(c.Param("token"))); err != nil {
		return err
	}
	if err := s.TabletReturns(c); err != nil {
		return err
	}
	return site.SeeOther(c, site.TabletPath+"?back=yes")
}
