package phones

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/words"
)

var lastScreen = site.PhoneScreen[onServing]("phones/last")

// showLast shows the question after the last plate.
func (s *handlers) showLast(c *gin.Context, status int, page onBallot) error {
	id, err := s.Panel.Nonce()
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, status, lastScreen, servingPage(page, id, false))
}

// last takes the answer to it, from a form or from a script that kept it.
func (s *handlers) last(c *gin.Context) error {
	token, sub := panel.SeatToken(c.Param("token")), submission(c)
	outcome, back, err := s.Panel.SayLast(c.Request.Context(), token, sub.Given, sub.Comment)
	var answers *panel.AnswerError
	switch {
	case site.WantsJSON(c):
		if errors.Is(err, panel.ErrNotYet) {
			err = panel.ErrNotFound // later is no better: what a phone keeps is sent in its order
		}
		return sendReceipt(c, panel.Receipt{Outcome: outcome, Back: back}, err)
	case errors.As(err, &answers):
		return s.showLast(c, http.StatusUnprocessableEntity, ballotPage(c, back, token))
	case errors.Is(err, panel.ErrNotYet), errors.Is(err, panel.ErrWithdrawn):
		return backToBallot(c) // which says how it stands
	case err != nil:
		return err
	}
	return backToBallot(c)
}

// Sends is what the button of the last question says.
func (p onServing) Sends() string {
	return words.In(p.Language()).Send(max(len(p.Ballot.Turn.Asks), 1))
}
