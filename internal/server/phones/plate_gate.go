package phones

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// onGate asks for the code on the plate. Its ballot has no name and no question.
type onGate struct {
	onBallot
	Wrong bool // other codes were typed
}

var gateScreen = site.PhoneScreen[onGate]("phones/plate")

func (s *handlers) showGate(c *gin.Context, status int, page onBallot) error {
	return site.Show(s.Site, c, status, gateScreen, onGate{page, status == http.StatusUnprocessableEntity})
}

// openPlate takes the codes that an assessor typed from their plates.
func (s *handlers) openPlate(c *gin.Context) error {
	ctx, token := c.Request.Context(), panel.SeatToken(c.Param("token"))
	form := c.Request.PostForm
	err := s.Panel.OpenPlate(ctx, token, panel.TurnID(form.Get("turn")), form.Get("code"))
	wrong := errors.Is(err, panel.ErrOtherCode)
	switch {
	case wrong && site.WantsJSON(c):
		c.Status(http.StatusUnprocessableEntity)
		return nil
	case wrong:
		b, err := s.Panel.Ballot(ctx, token)
		if err != nil {
			return err
		}
		if b.Stage != panel.StagePlate {
			return site.SeeOther(c, "/t/"+string(token))
		}
		return s.showGate(c, http.StatusUnprocessableEntity, ballotPage(c, b, token))
	case err != nil:
		return err
	case site.WantsJSON(c):
		c.Status(http.StatusNoContent)
		return nil
	}
	return site.SeeOther(c, "/t/"+string(token))
}
