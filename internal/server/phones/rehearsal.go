package phones

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// onRehearsal is a screen of a rehearsal. All of its state stands in its address:
// the place of the invented assessor, the language, the number of the screen.
type onRehearsal struct {
	panel.Rehearsal
	id           panel.StudyID
	lang         string
	seat, screen int // from 1
}

// rehearsalOf reads the address of a screen.
func (s *handlers) rehearsalOf(c *gin.Context) (onRehearsal, error) {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return onRehearsal{}, err
	}
	if hinder := stored.HinderRehearsal(); len(hinder) > 0 {
		return onRehearsal{}, fmt.Errorf("%w: %w", panel.ErrMistakes, hinder[0])
	}
	x := onRehearsal{id: stored.ID, lang: c.Param("in")}
	var wrongSeat, wrongScreen error
	x.seat, wrongSeat = strconv.Atoi(c.Param("seat"))
	x.screen, wrongScreen = strconv.Atoi(c.Param("screen"))
	if wrongSeat != nil || wrongScreen != nil {
		return onRehearsal{}, panel.ErrNotFound
	}
	if x.Rehearsal, err = panel.Rehearse(stored.Spec, x.lang, x.seat-1, time.Now()); err != nil {
		return onRehearsal{}, err
	}
	if x.screen < 1 || x.screen > x.screens() {
		return onRehearsal{}, panel.ErrNotFound
	}
	return x, nil
}

func (x onRehearsal) screens() int { return 1 + len(x.Ballots) }

// ballotIndex is where the ballot of the screen stands; -1 for the welcome.
func (x onRehearsal) ballotIndex() int { return x.screen - 2 }

func (x onRehearsal) address(seat, screen int) string {
	return "/studies/" + string(x.id) + "/rehearsal/" + strconv.Itoa(seat) + "/" + x.lang + "/" + strconv.Itoa(screen)
}

func (x onRehearsal) at() string { return x.address(x.seat, x.screen) }

// onward is the screen after, and after the last one the study.
func (x onRehearsal) onward() string {
	if x.screen == x.screens() {
		return "/studies/" + string(x.id)
	}
	return x.address(x.seat, x.screen+1)
}

// frame is that of an assessor's page, under the bar, with links to the same screen
// in other languages.
func (x onRehearsal) frame(c *gin.Context) site.Frame {
	f := site.GuestFrame(c, x.Welcome.Invented, x.lang, x.Welcome.Languages)
	for i, to := range f.Languages {
		if to.Href != "" {
			other := x
			other.lang = to.Tag
			f.Languages[i].Href = other.at()
		}
	}
	bar := site.Rehearsing{Screen: x.screen, Of: x.screens(), Study: "/studies/" + string(x.id),
		Half: x.Half, Reads: x.Reads}
	if x.screen > 1 {
		bar.Closed = !x.Ballots[x.ballotIndex()].WithdrawUntil.IsZero()
		bar.Before = x.address(x.seat, x.screen-1)
	}
	if x.screen < x.screens() {
		bar.After = x.onward()
	}
	if x.Places > 1 {
		bar.Other = x.address(x.seat%x.Places+1, 1)
	}
	f.Title, f.Rehearsal = "Rehearsal · "+f.Title, &bar
	return f
}

// rehearsedNonce stands for that of a guest who says no.
const rehearsedNonce = "a-guest-who-only-rehearses"

func (x onRehearsal) page(c *gin.Context, b panel.Ballot) onBallot {
	return onBallot{Frame: x.frame(c), Ballot: b, At: x.at()}
}

func (s *handlers) rehearsal(c *gin.Context) error {
	if s.TakeTextSize(c) {
		return nil
	}
	x, err := s.rehearsalOf(c)
	if err != nil {
		return err
	}
	if x.screen > 1 {
		return s.showBallot(c, http.StatusOK, x.page(c, x.Ballots[x.ballotIndex()]))
	}
	return site.Show(s.Site, c, http.StatusOK, welcomeScreen,
		x.welcome(c))
}

// rehearsalAside shows what stands beside the ballot. Any other address below a
// screen is that of its form, and leads back to it.
func (s *handlers) rehearsalAside(c *gin.Context) error {
	if s.TakeTextSize(c) {
		return nil
	}
	x, err := s.rehearsalOf(c)
	if err != nil {
		return err
	}
	switch c.Param("aside") {
	case "declined":
		return site.Show(s.Site, c, http.StatusOK, declinedScreen, declined{Frame: x.frame(c), At: x.at()}.asked(c))
	case "withdraw":
		if x.screen > 1 && x.Ballots[x.ballotIndex()].MayWithdraw {
			return site.Show(s.Site, c, http.StatusOK, withdrawScreen, x.page(c, x.Ballots[x.ballotIndex()]))
		}
	case "stop":
		if x.screen > 1 && x.Ballots[x.ballotIndex()].MayStop {
			return site.Show(s.Site, c, http.StatusOK, stopScreen, x.page(c, x.Ballots[x.ballotIndex()]))
		}
	case "stopped":
		b, err := x.Stop(x.ballotIndex())
		if err == nil {
			return s.showBallot(c, http.StatusOK, x.page(c, b))
		}
	case "withdrawn":
		b, err := x.Withdraw(x.ballotIndex())
		if err == nil {
			return s.showBallot(c, http.StatusOK, x.page(c, b))
		}
	}
	return site.SeeOther(c, x.at())
}

// rehearsalDo takes a form that holds no ratings, and goes on.
func (s *handlers) rehearsalDo(c *gin.Context) error {
	x, err := s.rehearsalOf(c)
	if err != nil {
		return err
	}
	switch c.Param("aside") {
	case "decline":
		return site.SeeOther(c, declinedAt(x.at(), rehearsedNonce, panel.WhyNot(c.Request.PostFormValue("why"))))
	case "withdraw":
		return site.SeeOther(c, x.at()+"/withdrawn")
	case "stop":
		return site.SeeOther(c, x.at()+"/stopped")
	case "plate":
		opens, err := x.Opens(x.ballotIndex(), c.Request.PostFormValue("code"))
		if err == nil && !opens {
			return s.showGate(c, http.StatusUnprocessableEntity, x.page(c, x.Ballots[x.ballotIndex()]))
		}
	case "last":
		sub := submission(c)
		back, ok, err := x.SayLast(x.ballotIndex(), sub.Given, sub.Comment)
		if err == nil && !ok {
			return s.showLast(c, http.StatusUnprocessableEntity, x.page(c, back))
		}
	case "screening":
		back, complete, err := x.Screen(x.ballotIndex(), site.ScreeningGiven(c))
		if err == nil && !complete {
			return s.showScreening(c, http.StatusUnprocessableEntity, x.page(c, back))
		}
	case "consent":
		page := x.welcome(c)
		if page.missing(c.Request.PostForm); page.Missing() > 0 {
			return site.Show(s.Site, c, http.StatusUnprocessableEntity, welcomeScreen, page)
		}
	}
	return site.SeeOther(c, x.onward())
}

func (x onRehearsal) welcome(c *gin.Context) welcome {
	return welcome{Frame: x.frame(c), Welcome: x.Welcome, At: x.at(),
		Groups: groupAsks(x.Welcome, site.LevelsGiven(c.Request.PostForm), nil)}
}

// rehearsalRate checks answers as the phone's form would be, and drops them.
func (s *handlers) rehearsalRate(c *gin.Context) error {
	x, err := s.rehearsalOf(c)
	if err != nil {
		return err
	}
	back, ok, err := x.Answer(x.ballotIndex(), submission(c))
	switch {
	case errors.Is(err, panel.ErrNotFound):
		return site.SeeOther(c, x.at())
	case err != nil:
		return err
	case !ok:
		return s.showServing(c, http.StatusUnprocessableEntity, x.page(c, back), false)
	}
	return site.SeeOther(c, x.onward())
}

// backToRehearsal leads from the address of a form back to its screen.
func (s *handlers) backToRehearsal(c *gin.Context) error {
	x, err := s.rehearsalOf(c)
	if err != nil {
		return err
	}
	return site.SeeOther(c, x.at())
}

// FirstRehearsed is the address of the first screen of a rehearsal.
func FirstRehearsed(studyID panel.StudyID, language string) string {
	return onRehearsal{id: studyID, lang: language}.address(1, 1)
}
