package server

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/words"
)

// welcome is what a person reads before consent.
type welcome struct {
	frame
	Welcome panel.Welcome
	At      string // address under which its forms stand
	Nonce   string // makes a form that is sent twice count once
	Unsaid  bool   // the age that is asked was not confirmed

	Anew               bool   // for another person than who has the seat in this browser
	Word               string // of the evening, as typed
	AskWord, WrongWord bool   // the word has to be said and was not; another was
}

// resume asks who holds a phone on which a tasting was begun.
type resume struct {
	frame
	Join, Token string
}

// declined thanks a person who said no.
type declined struct {
	frame
	At string // address of the page before
}

var (
	welcomeScreen  = screen[welcome]{"welcome", phone}
	resumeScreen   = screen[resume]{"resume", phone}
	declinedScreen = screen[declined]{"declined", phone}
)

// seatKept is how long a phone remembers its seat, in seconds: longer than an
// evening, shorter than a week.
const seatKept = 36 * 60 * 60

func (s *server) welcome(c *gin.Context) error {
	ctx, join := c.Request.Context(), c.Param("token")
	w, err := s.svc.Welcome(ctx, join)
	if err != nil {
		return err
	}
	page := guest(c, w.Invented, w.Language, w.Languages)
	if seat, ok := s.seat(c, join); ok && c.Query("anew") == "" {
		return show(s, c, http.StatusOK, resumeScreen, resume{frame: page, Join: join, Token: seat})
	}
	switch {
	case w.Stand != panel.StandOpen:
		return showNotice(s, c, page, standNotice(words.In(w.Language), w.Stand))
	case w.Full:
		return showNotice(s, c, page, fullNotice(words.In(w.Language)))
	}
	nonce, err := s.svc.Nonce()
	if err != nil {
		return err
	}
	return show(s, c, http.StatusOK, welcomeScreen, s.welcomePage(c, w, nonce))
}

// welcomePage is the welcome with what was typed. In a browser that has a seat the word
// of the evening is asked: one browser is one seat unless the floor tell it.
func (s *server) welcomePage(c *gin.Context, w panel.Welcome, nonce string) welcome {
	join := c.Param("token")
	_, seated := s.seat(c, join)
	w.AskWord = w.AskWord || seated
	return welcome{frame: guest(c, w.Invented, w.Language, w.Languages), Welcome: w, At: "/join/" + join, Nonce: nonce,
		Anew: seated, Word: c.Request.PostFormValue("word")}
}

// showNotice shows a notice that is no error: the link is right.
func showNotice(s *server, c *gin.Context, page frame, n notice) error {
	n.frame = page
	return show(s, c, http.StatusOK, noticeScreen, n)
}

// seat returns the personal token that this phone was given at the sitting of
// a join link.
func (s *server) seat(c *gin.Context, join string) (string, bool) {
	cookie, err := c.Request.Cookie(seatCookie)
	if err != nil || len(cookie.Value) > maxToken {
		return "", false
	}
	return cookie.Value, s.svc.SeatedAt(c.Request.Context(), cookie.Value, join)
}

func (s *server) consent(c *gin.Context) error {
	nonce, err := nonce(c)
	if err != nil {
		return err
	}
	arrival := panel.Arrival{Join: c.Param("token"), Nonce: nonce, Word: c.Request.PostFormValue("word"), From: c.ClientIP()}
	if seat, ok := s.seat(c, arrival.Join); ok {
		if c.Request.PostFormValue("anew") != "yes" { // the form in another tab
			return seeOther(c, "/t/"+seat)
		}
		arrival.Seat = seat
	}
	err = s.svc.Arrive(c.Request.Context(), arrival)
	if errors.Is(err, panel.ErrWord) {
		return s.askWord(c, nonce, arrival.Word != "")
	}
	if err != nil {
		return err
	}
	given := panel.PhoneConsent{OldEnough: c.Request.PostFormValue("age") == "yes"}
	token, err := s.svc.Consent(c.Request.Context(), c.Param("token"), nonce, given)
	if errors.Is(err, panel.ErrAge) {
		return s.askAge(c, nonce)
	}
	if err != nil {
		return err
	}
	s.setCookie(c, seatCookie, token, "/join/", seatKept)
	return seeOther(c, "/t/"+token)
}

// askWord shows the welcome again, and asks for the word on the table card.
func (s *server) askWord(c *gin.Context, nonce string, wrong bool) error {
	w, err := s.svc.Welcome(c.Request.Context(), c.Param("token"))
	if err != nil {
		return err
	}
	page := s.welcomePage(c, w, nonce)
	page.AskWord, page.WrongWord = true, wrong
	return show(s, c, http.StatusUnprocessableEntity, welcomeScreen, page)
}

// askAge shows the welcome again, with what was not confirmed.
func (s *server) askAge(c *gin.Context, nonce string) error {
	w, err := s.svc.Welcome(c.Request.Context(), c.Param("token"))
	if err != nil {
		return err
	}
	page := s.welcomePage(c, w, nonce)
	page.Unsaid, page.Title = true, words.In(w.Language).WrongTitle
	return show(s, c, http.StatusUnprocessableEntity, welcomeScreen, page)
}

// nonce reads the one-time word of a form. A form without one was not made
// here.
func nonce(c *gin.Context) (string, error) {
	n := c.Request.PostFormValue("nonce")
	if len(n) < 16 || len(n) > maxToken {
		return "", errForm
	}
	return n, nil
}

func (s *server) decline(c *gin.Context) error {
	nonce, err := nonce(c)
	if err != nil {
		return err
	}
	join := c.Param("token")
	if err := s.svc.Decline(c.Request.Context(), join, nonce); err != nil {
		return err
	}
	return seeOther(c, "/join/"+join+"/declined")
}

func (s *server) declined(c *gin.Context) error {
	join := c.Param("token")
	w, err := s.svc.Welcome(c.Request.Context(), join)
	if err != nil {
		return err
	}
	return show(s, c, http.StatusOK, declinedScreen, declined{frame: guest(c, w.Invented, w.Language, w.Languages), At: "/join/" + join})
}

// backToJoin leads from the address of a form back to the page with the form.
func backToJoin(c *gin.Context) error { return seeOther(c, "/join/"+c.Param("token")) }
