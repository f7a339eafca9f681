package phones

import (
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/words"
)

// onScreening is the page of the questions before the first plate.
type onScreening struct {
	onBallot
	Asks  []panel.Ask
	Wrong []panel.Ask // those without an answer, when the form comes back
}

var screeningScreen = site.PhoneScreen[onScreening]("phones/screening")

func (s *handlers) showScreening(c *gin.Context, status int, page onBallot) error {
	w := words.In(page.Language())
	x := onScreening{onBallot: page}
	for _, q := range page.Ballot.Screening {
		ask := panel.Ask{Field: q.Field, Text: q.Text, Labels: []string{w.Yes, w.No}, Problem: q.Problem}
		for i, r := range site.ScreenReplies {
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
	return site.Show(s.Site, c, status, screeningScreen, x)
}

func (s *handlers) screening(c *gin.Context) error {
	token := panel.SeatToken(c.Param("token"))
	back, complete, err := s.Panel.Screen(c.Request.Context(), token, site.ScreeningGiven(c))
	if err != nil {
		return err
	}
	if !complete {
		return s.showScreening(c, http.StatusUnprocessableEntity, ballotPage(c, back, token))
	}
	return backToBallot(c)
}
