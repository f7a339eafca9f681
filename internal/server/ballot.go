package server

import (
	"errors"
	"math"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/words"
)

// onBallot is what the screens of a ballot are rendered from: what the assessor
// may know now, and the assessor's own token.
type onBallot struct {
	frame
	Ballot panel.Ballot
	Token  string
}

// onServing is the serving in front of the assessor, with what is wrong with
// the answers that came back.
type onServing struct {
	onBallot
	Wrong []panel.Ask
}

// onRinse is the pause before the next serving.
type onRinse struct {
	onBallot
	Seconds int // whole seconds left, rounded up
}

var (
	instructionsScreen = screen[onBallot]{"instructions", phone}
	servingScreen      = screen[onServing]{"serving", phone}
	rinseScreen        = screen[onRinse]{"rinse", phone}
	thanksScreen       = screen[onBallot]{"thanks", phone}
	overScreen         = screen[onBallot]{"over", phone}
)

func (s *server) ballot(c *gin.Context) error {
	token := c.Param("token")
	b, err := s.svc.Ballot(c.Request.Context(), token)
	if err != nil {
		return err
	}
	return s.showBallot(c, http.StatusOK, onBallot{frame: guest(c, b.Invented, b.Language, b.Languages), Ballot: b, Token: token})
}

// showBallot shows the screen of a ballot's stage.
func (s *server) showBallot(c *gin.Context, status int, page onBallot) error {
	switch b := page.Ballot; b.Stage {
	case panel.StageInstructions:
		return show(s, c, status, instructionsScreen, page)
	case panel.StageServing:
		return show(s, c, status, servingScreen, servingPage(page))
	case panel.StageRinse:
		return show(s, c, status, rinseScreen, onRinse{page, int(math.Ceil(b.Rinse.Seconds()))})
	case panel.StageDone:
		return show(s, c, status, thanksScreen, page)
	default:
		return show(s, c, status, overScreen, page)
	}
}

func servingPage(page onBallot) onServing {
	x := onServing{onBallot: page}
	for _, ask := range page.Ballot.Serving.Asks {
		if ask.Problem != "" {
			x.Wrong = append(x.Wrong, ask)
		}
	}
	if len(x.Wrong) > 0 {
		x.Title = words.In(page.Language()).WrongTitle
	}
	return x
}

func (s *server) start(c *gin.Context) error {
	token := c.Param("token")
	if err := s.svc.Start(c.Request.Context(), token); err != nil {
		return err
	}
	return seeOther(c, "/t/"+token)
}

func (s *server) rate(c *gin.Context) error {
	token, given := c.Param("token"), map[string]string{}
	for name := range c.Request.PostForm {
		given[name] = c.Request.PostForm.Get(name)
	}
	back, err := s.svc.Rate(c.Request.Context(), token, c.Param("serving"), given)
	var answers *panel.AnswerError
	switch {
	case errors.As(err, &answers):
		return s.showBallot(c, http.StatusUnprocessableEntity, onBallot{frame: guest(c, back.Invented, back.Language, back.Languages), Ballot: back, Token: token})
	case errors.Is(err, panel.ErrNotOpen):
		return seeOther(c, "/t/"+token) // which says that the tasting is over
	case err != nil:
		return err
	}
	return seeOther(c, "/t/"+token)
}

// backToBallot leads from the address of a form back to the ballot.
func backToBallot(c *gin.Context) error { return seeOther(c, "/t/"+c.Param("token")) }
