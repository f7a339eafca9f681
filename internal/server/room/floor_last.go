package room

import (
	"errors"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// lastPage is the question after the last plate, for floor to ask on a guest's behalf.
type lastPage struct {
	site.StaffFrame
	Guest string
	Seat  panel.AssessorID
	Turn  panel.BallotTurn
	Wrong []panel.Ask
}

var lastScreen = site.StaffScreen[lastPage]("room/last")

func (s *handlers) lastForm(c *gin.Context) error {
	asked, err := s.Panel.FloorLast(c.Request.Context(), site.SessionOf(c), site.SeatIn(c))
	if err != nil {
		return err
	}
	return s.showLast(c, http.StatusOK, asked)
}

func (s *handlers) showLast(c *gin.Context, status int, asked panel.BallotTurn) error {
	by := site.SessionOf(c)
	r, err := s.Panel.Room(c.Request.Context(), by)
	if err != nil {
		return err
	}
	t, err := seatIn(r, site.SeatIn(c))
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, status, lastScreen, lastPage{
		StaffFrame: site.StaffFrameFor(c, by.Role, "Last question", r.Sitting, r.Invented),
		Guest:      guestWords(site.TongueOf(c), t), Seat: t.ID,
		Turn: asked, Wrong: site.WrongAnswers(asked)})
}

func (s *handlers) enterLast(c *gin.Context) error {
	given := map[string]string{}
	for name := range c.Request.PostForm {
		given[name] = strings.Join(c.Request.PostForm[name], panel.BetweenAnswers)
	}
	seat := site.SeatIn(c)
	outcome, back, err := s.Panel.EnterLast(c.Request.Context(), site.SessionOf(c), seat, given,
		c.Request.PostFormValue("comment"))
	var answers *panel.AnswerError
	switch {
	case errors.As(err, &answers):
		return s.showLast(c, http.StatusUnprocessableEntity, back.Turn)
	case err != nil:
		return err
	}
	say := "last"
	if outcome == panel.AfterClose {
		say = "last-late"
	}
	return site.SeeOther(c, "/floor/seats/"+string(seat)+"?told="+say)
}
