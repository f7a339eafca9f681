package phones

import (
	"errors"
	"maps"
	"net/http"
	"net/url"
	"slices"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/words"
)

// welcome is what a person reads before consent.
type welcome struct {
	site.Frame
	Welcome panel.Welcome
	At      string // address under which its forms stand
	Nonce   string // makes a form that is sent twice count once
	Unsaid  bool   // the age that is asked was not confirmed
	Groups  []groupAsk
	Table   int // whose card it is; 0 = none

	OldEnough bool // it was, when the form comes back

	Anew               bool   // for another person than who has the seat in this browser
	Word               string // of the evening, as typed
	AskWord, WrongWord bool   // the word has to be said and was not; another was
}

// resume asks who holds a phone on which a tasting was begun.
type resume struct {
	site.Frame
	Join  panel.JoinToken
	Token string
}

// declined thanks a person who said no.
type declined struct {
	site.Frame
	At    string       // address of the page before
	Nonce string       // of who said no, who may say why; "" when nobody is asked
	Said  panel.WhyNot // what was said; "" for nothing yet
}

// Whys are the reasons that are offered.
func (declined) Whys() []panel.WhyNot { return panel.WhysNot[:] }

var (
	welcomeScreen  = site.PhoneScreen[welcome]("phones/welcome")
	resumeScreen   = site.PhoneScreen[resume]("phones/resume")
	declinedScreen = site.PhoneScreen[declined]("phones/declined")
)

func (s *handlers) welcome(c *gin.Context) error {
	ctx, join := c.Request.Context(), c.Param("token")
	w, err := s.Panel.Welcome(ctx, panel.JoinToken(join))
	if err != nil {
		return err
	}
	page := site.GuestFrame(c, w.Invented, w.Language, w.Languages)
	if seat, ok := s.seatedBefore(c, panel.JoinToken(join)); ok && c.Query("anew") == "" {
		return site.Show(s.Site, c, http.StatusOK, resumeScreen, resume{Frame: page, Join: panel.JoinToken(join),
			Token: seat})
	}
	switch {
	case w.Stand != panel.StandOpen:
		return site.ShowNotice(s.Site, c, page, site.StandNotice(words.In(w.Language), w.Stand))
	case w.Full:
		return site.ShowNotice(s.Site, c, page, site.FullNotice(words.In(w.Language)))
	}
	nonce, err := s.Panel.Nonce()
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, welcomeScreen, s.welcomePage(c, w, nonce))
}

// welcomePage is the welcome with what was typed. In a browser that has a seat the word
// of the evening is asked: one browser is one seat unless the floor tell it.
func (s *handlers) welcomePage(c *gin.Context, w panel.Welcome, nonce string) welcome {
	join := panel.JoinToken(c.Param("token"))
	_, seated := s.seatedBefore(c, join)
	w.AskWord = w.AskWord || seated
	said := c.Request.URL.Query() // the card of a table says what the staff know
	given := site.LevelsGiven(said)
	maps.Copy(given, site.LevelsGiven(c.Request.PostForm))
	return welcome{Frame: site.GuestFrame(c, w.Invented, w.Language, w.Languages), Welcome: w,
		At:    "/join/" + string(join),
		Nonce: nonce, Table: tableSaid(said, c.Request.PostForm), Groups: groupAsks(w, given, said),
		Anew: seated, Word: c.Request.PostFormValue("word")}
}

// seatedBefore returns the personal token that this phone was given at the sitting of
// a join link.
func (s *handlers) seatedBefore(c *gin.Context, join panel.JoinToken) (string, bool) {
	cookie, err := c.Request.Cookie(site.SeatCookie)
	if err != nil || len(cookie.Value) > site.MaxToken {
		return "", false
	}
	return cookie.Value, s.Panel.SeatedAt(c.Request.Context(), panel.SeatToken(cookie.Value), join)
}

func (s *handlers) consent(c *gin.Context) error {
	nonce, err := site.Nonce(c)
	if err != nil {
		return err
	}
	arrival := panel.Arrival{Join: panel.JoinToken(c.Param("token")), Nonce: nonce,
		Word: c.Request.PostFormValue("word"),
		From: c.ClientIP()}
	if seat, ok := s.seatedBefore(c, arrival.Join); ok {
		if c.Request.PostFormValue("anew") != "yes" { // the form in another tab
			return site.SeeOther(c, "/t/"+seat)
		}
		arrival.Seat = seat
	}
	err = s.Panel.Arrive(c.Request.Context(), arrival)
	if errors.Is(err, panel.ErrWord) {
		return s.askWord(c, nonce, arrival.Word != "")
	}
	if err != nil {
		return err
	}
	given := panel.PhoneConsent{OldEnough: c.Request.PostFormValue("age") == "yes",
		Table: tableSaid(c.Request.PostForm), Levels: site.LevelsGiven(c.Request.PostForm)}
	token, err := s.Panel.Consent(c.Request.Context(), panel.JoinToken(c.Param("token")), nonce, given)
	if errors.Is(err, panel.ErrAge) || errors.Is(err, panel.ErrStratum) {
		return s.askAgain(c, nonce)
	}
	if err != nil {
		return err
	}
	s.SetCookie(c, site.SeatCookie, string(token), "/join/", site.SeatKept)
	return site.SeeOther(c, "/t/"+string(token))
}

// askWord shows the welcome again, and asks for the word on the table card.
func (s *handlers) askWord(c *gin.Context, nonce string, wrong bool) error {
	w, err := s.Panel.Welcome(c.Request.Context(), panel.JoinToken(c.Param("token")))
	if err != nil {
		return err
	}
	page := s.welcomePage(c, w, nonce)
	page.AskWord, page.WrongWord = true, wrong
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, welcomeScreen, page)
}

// askAgain shows the welcome again, with what was not confirmed or answered.
func (s *handlers) askAgain(c *gin.Context, nonce string) error {
	w, err := s.Panel.Welcome(c.Request.Context(), panel.JoinToken(c.Param("token")))
	if err != nil {
		return err
	}
	page := s.welcomePage(c, w, nonce)
	page.missing(c.Request.PostForm)
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, welcomeScreen, page)
}

func (s *handlers) decline(c *gin.Context) error {
	nonce, err := site.Nonce(c)
	if err != nil {
		return err
	}
	join := panel.JoinToken(c.Param("token"))
	why := panel.WhyNot(c.Request.PostFormValue("why"))
	if err := s.Panel.Decline(c.Request.Context(), join, nonce, why); err != nil {
		return err
	}
	return site.SeeOther(c, declinedAt("/join/"+string(join), nonce, why))
}

// declinedAt is the address of the page for who said no, below that where they did: it asks them why,
// once.
func declinedAt(below, nonce string, why panel.WhyNot) string {
	if slices.Contains(panel.WhysNot[:], why) {
		return below + "/declined?said=" + string(why)
	}
	return below + "/declined?n=" + url.QueryEscape(nonce)
}

// asked fills what the page of who said no asks and says, from its address.
func (p declined) asked(c *gin.Context) declined {
	if said := panel.WhyNot(c.Query("said")); slices.Contains(panel.WhysNot[:], said) {
		p.Said = said
	} else if n := c.Query("n"); len(n) >= 16 && len(n) <= site.MaxToken {
		p.Nonce = n
	}
	return p
}

func (s *handlers) declined(c *gin.Context) error {
	join := panel.JoinToken(c.Param("token"))
	w, err := s.Panel.Welcome(c.Request.Context(), join)
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, declinedScreen,
		declined{Frame: site.GuestFrame(c, w.Invented, w.Language, w.Languages), At: "/join/" + string(join)}.asked(c))
}

// backToJoin leads from the address of a form back to the page with the form.
func backToJoin(c *gin.Context) error { return site.SeeOther(c, "/join/"+c.Param("token")) }

// tableSaid is the table that a card or its form says, 0 when none does: whatever else
// stands there keeps nobody from joining.
func tableSaid(all ...url.Values) int {
	for _, said := range all {
		if n, err := panel.TableOf(said.Get("table")); err == nil && n > 0 {
			return n
		}
	}
	return 0
}
