package server

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/study"
	"cloche/internal/words"
)

// rehearsing is the bar over a screen that is only rehearsed.
type rehearsing struct {
	Screen, Of           int
	Before, After, Other string // other screens, and the first one of another assessor; "" = none
	Study                string // the way back
}

// onRehearsal is a screen of a rehearsal. All of its state stands in its address:
// the place of the invented assessor, the language, the number of the screen.
type onRehearsal struct {
	panel.Rehearsal
	id, lang     string
	seat, screen int // from 1
}

// rehearsalStart leads to the first screen, or says why there is none.
func (s *server) rehearsalStart(c *gin.Context) error {
	kept, err := s.svc.Study(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	page := s.hindered(c, kept, "No rehearsal yet", kept.HinderRehearsal())
	if len(page.Mistakes) > 0 {
		return show(s, c, http.StatusOK, hinderedScreen, page)
	}
	first := onRehearsal{id: kept.ID, lang: kept.Asked.Languages[0]}
	_, err = panel.Rehearse(kept.Asked, first.lang, 0)
	if reason, refused := cannotRun(err); refused {
		page.Reason = reason
		return show(s, c, http.StatusOK, hinderedScreen, page)
	}
	if err != nil {
		return err
	}
	return seeOther(c, first.address(1, 1))
}

// hindered says what stands between a study and its rehearsal or dry run.
type hindered struct {
	frame
	ID, Study, Reason string
	Mistakes          []remark // the lead's lead to where they are mended
}

var hinderedScreen = screen[hindered]{"hindered", desk}

func (s *server) hindered(c *gin.Context, kept panel.Study, title string, hinder []study.Problem) hindered {
	page := hindered{frame: s.deskFrame(c, title, kept.Asked.Invented), ID: kept.ID, Study: titleOf(kept)}
	b := newBuilder(kept)
	for _, x := range hinder {
		r := remark{Text: says(x)}
		if !page.Reader {
			r.Href = b.href(b.owner(x.Path)) + "#" + fieldID(x.Path)
		}
		page.Mistakes = append(page.Mistakes, r)
	}
	return page
}

// rehearsalOf reads the address of a screen.
func (s *server) rehearsalOf(c *gin.Context) (onRehearsal, error) {
	kept, err := s.svc.Study(c.Request.Context(), c.Param("id"))
	if err != nil {
		return onRehearsal{}, err
	}
	if hinder := kept.HinderRehearsal(); len(hinder) > 0 {
		return onRehearsal{}, fmt.Errorf("%w: %w", panel.ErrMistakes, hinder[0])
	}
	x := onRehearsal{id: kept.ID, lang: c.Param("in")}
	var wrongSeat, wrongScreen error
	x.seat, wrongSeat = strconv.Atoi(c.Param("seat"))
	x.screen, wrongScreen = strconv.Atoi(c.Param("screen"))
	if wrongSeat != nil || wrongScreen != nil {
		return onRehearsal{}, panel.ErrNotFound
	}
	if x.Rehearsal, err = panel.Rehearse(kept.Asked, x.lang, x.seat-1); err != nil {
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
	return "/studies/" + x.id + "/rehearsal/" + itoa(seat) + "/" + x.lang + "/" + itoa(screen)
}

func (x onRehearsal) at() string { return x.address(x.seat, x.screen) }

// onward is the screen after, and after the last one the study.
func (x onRehearsal) onward() string {
	if x.screen == x.screens() {
		return "/studies/" + x.id
	}
	return x.address(x.seat, x.screen+1)
}

// frame is that of an assessor's page, under the bar, with links to the same screen
// in other languages.
func (x onRehearsal) frame(c *gin.Context) frame {
	f := guest(c, x.Welcome.Invented, x.lang, x.Welcome.Languages)
	for i, to := range f.Languages {
		if to.Href != "" {
			other := x
			other.lang = to.Tag
			f.Languages[i].Href = other.at()
		}
	}
	bar := rehearsing{Screen: x.screen, Of: x.screens(), Study: "/studies/" + x.id}
	if x.screen > 1 {
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

func (x onRehearsal) page(c *gin.Context, b panel.Ballot) onBallot {
	return onBallot{frame: x.frame(c), Ballot: b, At: x.at()}
}

func (s *server) rehearsal(c *gin.Context) error {
	if s.resize(c) {
		return nil
	}
	x, err := s.rehearsalOf(c)
	if err != nil {
		return err
	}
	if x.screen > 1 {
		return s.showBallot(c, http.StatusOK, x.page(c, x.Ballots[x.ballotIndex()]))
	}
	return show(s, c, http.StatusOK, welcomeScreen, welcome{frame: x.frame(c), Welcome: x.Welcome, At: x.at()})
}

// rehearsalAside shows what stands beside the ballot. Any other address below a
// screen is that of its form, and leads back to it.
func (s *server) rehearsalAside(c *gin.Context) error {
	if s.resize(c) {
		return nil
	}
	x, err := s.rehearsalOf(c)
	if err != nil {
		return err
	}
	switch c.Param("aside") {
	case "declined":
		return show(s, c, http.StatusOK, declinedScreen, declined{frame: x.frame(c), At: x.at()})
	case "withdraw":
		if x.screen > 1 && x.Ballots[x.ballotIndex()].MayWithdraw {
			return show(s, c, http.StatusOK, withdrawScreen, x.page(c, x.Ballots[x.ballotIndex()]))
		}
	case "stop":
		if x.screen > 1 && x.Ballots[x.ballotIndex()].MayStop {
			return show(s, c, http.StatusOK, stopScreen, x.page(c, x.Ballots[x.ballotIndex()]))
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
	return seeOther(c, x.at())
}

// rehearsalDo takes a form that holds no ratings, and goes on.
func (s *server) rehearsalDo(c *gin.Context) error {
	x, err := s.rehearsalOf(c)
	if err != nil {
		return err
	}
	switch c.Param("aside") {
	case "decline":
		return seeOther(c, x.at()+"/declined")
	case "withdraw":
		return seeOther(c, x.at()+"/withdrawn")
	case "stop":
		return seeOther(c, x.at()+"/stopped")
	case "screening":
		back, complete, err := x.Screen(x.ballotIndex(), screenGiven(c))
		if err == nil && !complete {
			return s.showScreening(c, http.StatusUnprocessableEntity, x.page(c, back))
		}
	case "consent":
		if x.Welcome.Age.Asked && c.Request.PostForm.Get("age") != "yes" {
			page := welcome{frame: x.frame(c), Welcome: x.Welcome, At: x.at(), Unsaid: true}
			page.Title = words.In(x.lang).WrongTitle
			return show(s, c, http.StatusUnprocessableEntity, welcomeScreen, page)
		}
	}
	return seeOther(c, x.onward())
}

// rehearsalRate checks answers as the phone's form would be, and drops them.
func (s *server) rehearsalRate(c *gin.Context) error {
	x, err := s.rehearsalOf(c)
	if err != nil {
		return err
	}
	back, ok, err := x.Answer(x.ballotIndex(), submission(c))
	switch {
	case errors.Is(err, panel.ErrNotFound):
		return seeOther(c, x.at())
	case err != nil:
		return err
	case !ok:
		return s.showServing(c, http.StatusUnprocessableEntity, x.page(c, back), false)
	}
	return seeOther(c, x.onward())
}

// backToRehearsal leads from the address of a form back to its screen.
func (s *server) backToRehearsal(c *gin.Context) error {
	x, err := s.rehearsalOf(c)
	if err != nil {
		return err
	}
	return seeOther(c, x.at())
}
