package server

import (
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/study"
	"cloche/internal/words"
)

// onScreening is the page of the questions before the first plate.
type onScreening struct {
	onBallot
	Asks  []panel.Ask
	Wrong []panel.Ask // those without an answer, when the form comes back
}

var screeningScreen = screen[onScreening]{"screening", phone}

// screenReplies are the answers by their value on the form, from 1.
var screenReplies = []study.Reply{study.Yes, study.No}

func (s *server) showScreening(c *gin.Context, status int, page onBallot) error {
	w := words.In(page.Language())
	x := onScreening{onBallot: page}
	for _, q := range page.Ballot.Screening {
		ask := panel.Ask{Field: q.Field, Text: q.Text, Labels: []string{w.Yes, w.No}, Problem: q.Problem}
		for i, r := range screenReplies {
			if r == q.Given {
				ask.Given = strconv.Itoa(i + 1)
			}
		}
		if ask.Problem != "" {
			x.Wrong = append(x.Wrong, ask)
		}
		x.Asks = append(x.Asks, ask)
	}
	if len(x.Wrong) > 0 {
		x.Title = w.WrongTitle
	}
	return show(s, c, status, screeningScreen, x)
}

// screenGiven reads what a form says to the questions before the first plate.
func screenGiven(c *gin.Context) map[string]study.Reply {
	given := map[string]study.Reply{}
	for field := range c.Request.PostForm {
		n, err := strconv.Atoi(c.Request.PostForm.Get(field))
		if err == nil && n >= 1 && n <= len(screenReplies) {
			given[field] = screenReplies[n-1]
		}
	}
	return given
}

func (s *server) screening(c *gin.Context) error {
	token := c.Param("token")
	back, complete, err := s.svc.Screen(c.Request.Context(), token, screenGiven(c))
	if err != nil {
		return err
	}
	if !complete {
		return s.showScreening(c, http.StatusUnprocessableEntity, ballotPage(c, back, token))
	}
	return backToBallot(c)
}
