package server

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// scoresPage is the ballot of one serving, for floor to fill in on a guest's
// behalf.
type scoresPage struct {
	staffFrame
	Seat    string // id
	Label   int
	Serving panel.BallotServing
	Nonce   string
	Wrong   []panel.Ask
}

var scoresScreen = screen[scoresPage]{"scores", staff}

func (s *server) scoresForm(c *gin.Context) error {
	ballot, err := s.svc.FloorBallot(c.Request.Context(), who(c), c.Param("serving"))
	if err != nil {
		return err
	}
	nonce, err := s.svc.Nonce()
	if err != nil {
		return err
	}
	return s.showScores(c, http.StatusOK, ballot, nonce)
}

func (s *server) showScores(c *gin.Context, status int, ballot panel.BallotServing, nonce string) error {
	by := who(c)
	r, err := s.svc.Room(c.Request.Context(), by)
	if err != nil {
		return err
	}
	t, err := seatIn(r, c.Param("seat"))
	if err != nil {
		return err
	}
	page := scoresPage{staffFrame: framedFor(by, "Scores", r.Sitting, r.Invented), Seat: t.ID, Label: t.Label, Serving: ballot, Nonce: nonce}
	for _, ask := range ballot.Asks {
		if ask.Problem != "" {
			page.Wrong = append(page.Wrong, ask)
		}
	}
	return show(s, c, status, scoresScreen, page)
}

func (s *server) enterScores(c *gin.Context) error {
	id := c.Request.PostForm.Get("id") // made by the phone
	if id == "" {
		var err error
		if id, err = nonce(c); err != nil {
			return err
		}
	}
	sub := panel.Submission{ID: id, ServingID: c.Param("serving"), Given: map[string]string{}, Comment: c.Request.PostFormValue("comment")}
	for name := range c.Request.PostForm {
		sub.Given[name] = c.Request.PostForm.Get(name)
	}
	receipt, err := s.svc.Enter(c.Request.Context(), who(c), sub)
	var answers *panel.AnswerError
	if errors.As(err, &answers) && !wantsJSON(c) {
		return s.showScores(c, http.StatusUnprocessableEntity, receipt.Back.Serving, id)
	}
	if receipt.Outcome == panel.Repeated {
		err = panel.ErrRepeated
	}
	if receipt.Outcome == panel.TooLate {
		return acted(c, err, seatTold(c, "aside"), told["aside"])
	}
	if receipt.Outcome == panel.AfterClose {
		return acted(c, err, seatTold(c, "late"), told["late"])
	}
	return acted(c, err, seatTold(c, "entered", "entered", sub.ServingID), "")
}
