package phones

import (
	"cmp"
	"errors"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// submission reads the form of a turn. A form without an id counts once a
// turn: it comes from a page that was made before there were ids.
func submission(c *gin.Context) panel.Submission {
	form, turn := c.Request.PostForm, c.Param("turn")
	sub := panel.Submission{
		ID: cmp.Or(form.Get("id"), "page/"+turn), TurnID: panel.TurnID(turn),
		Code: form.Get("code"), Comment: form.Get("comment"), Given: map[string]string{},
	}
	if n, err := strconv.Atoi(form.Get("seq")); err == nil && n > 0 {
		sub.Seq = n
	}
	if n, err := strconv.Atoi(form.Get("waited")); err == nil && n > 0 {
		sub.Waited = time.Duration(min(n, int(time.Hour/time.Second))) * time.Second
	}
	for name := range form {
		sub.Given[name] = strings.Join(form[name], panel.BetweenAnswers)
	}
	return sub
}

func (s *handlers) rate(c *gin.Context) error {
	token, sub := c.Param("token"), submission(c)
	receipt, err := s.Panel.Submit(c.Request.Context(), panel.SeatToken(token), sub)
	if site.WantsJSON(c) {
		return sendReceipt(c, receipt, err)
	}
	var answers *panel.AnswerError
	switch {
	case errors.As(err, &answers):
		return s.showServing(c, http.StatusUnprocessableEntity, ballotPage(c, receipt.Back, panel.SeatToken(token)),
			c.Request.PostForm.Get("change") != "")
	case errors.Is(err, panel.ErrWithdrawn):
		return site.SeeOther(c, "/t/"+token) // which says that the tasting is over
	case errors.Is(err, panel.ErrBadValue):
		return site.ErrForm
	case err != nil:
		return err
	case receipt.Outcome == panel.TooLate:
		return site.SeeOther(c, "/t/"+token+"/late")
	}
	return site.SeeOther(c, "/t/"+token)
}

// changeAnswers shows the answers to the turn answered last, to be sent anew.
func (s *handlers) changeAnswers(c *gin.Context) error {
	ctx, token := c.Request.Context(), c.Param("token")
	b, err := s.Panel.Ballot(ctx, panel.SeatToken(token))
	if err != nil {
		return err
	}
	if !b.MayCorrect {
		return site.SeeOther(c, "/t/"+token)
	}
	if b.Turn, err = s.Panel.Correctable(ctx, panel.SeatToken(token)); err != nil {
		return err
	}
	b.Stage = panel.StageServing
	return s.showServing(c, http.StatusOK, ballotPage(c, b, panel.SeatToken(token)), true)
}

// late says that a change came too late.
func (s *handlers) late(c *gin.Context) error {
	return s.showAside(c, lateScreen)
}

// withdrawForm asks whether the assessor's answers are to be taken out.
func (s *handlers) withdrawForm(c *gin.Context) error {
	return s.showAside(c, withdrawScreen)
}

// stopForm asks whether the assessor's tasting is to end here.
func (s *handlers) stopForm(c *gin.Context) error {
	token := panel.SeatToken(c.Param("token"))
	b, err := s.Panel.Ballot(c.Request.Context(), token)
	if err != nil {
		return err
	}
	if !b.MayStop { // over already
		return site.SeeOther(c, "/t/"+string(token))
	}
	return site.Show(s.Site, c, http.StatusOK, stopScreen, ballotPage(c, b, token))
}

func (s *handlers) stop(c *gin.Context) error {
	token := panel.SeatToken(c.Param("token"))
	err := s.Panel.Stop(c.Request.Context(), token)
	if err != nil && !errors.Is(err, panel.ErrNotOpen) && !errors.Is(err, panel.ErrWithdrawn) {
		return err
	}
	return site.SeeOther(c, "/t/"+string(token)) // which says how it stands
}

// showAside shows a screen beside the ballot that any stage may lead to.
func (s *handlers) showAside(c *gin.Context, x site.Screen[onBallot]) error {
	token := panel.SeatToken(c.Param("token"))
	b, err := s.Panel.Ballot(c.Request.Context(), token)
	if err != nil {
		return err
	}
	if !b.MayWithdraw { // closed, or taken out already
		return site.SeeOther(c, "/t/"+string(token))
	}
	return site.Show(s.Site, c, http.StatusOK, x, ballotPage(c, b, token))
}

func (s *handlers) withdraw(c *gin.Context) error {
	token := panel.SeatToken(c.Param("token"))
	err := s.Panel.Withdraw(c.Request.Context(), token)
	if err != nil && !errors.Is(err, panel.ErrNotOpen) && !errors.Is(err, panel.ErrWithdrawn) {
		return err
	}
	return site.SeeOther(c, "/t/"+string(token)) // which says how it stands
}
