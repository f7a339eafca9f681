package room

import (
	"errors"
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// shownAsk is the wish to see what a plate is, on the page of kitchen or floor.
type shownAsk struct {
	panel.BlindAsk
	At string // below which its forms are
}

// askedPage is what floor sees after it has asked.
type askedPage struct {
	site.StaffFrame
	Ask   shownAsk
	Again string
}

var askedScreen = site.StaffScreen[askedPage]("room/blind_asked")

func shownAsks(say site.Tongue, asks []panel.BlindAsk, under string) (all []shownAsk) {
	for _, x := range asks {
		x.Who, x.With, x.Reason = whoWords(say, x.Who), whoWords(say, x.With), reasonWords(say, x.Reason)
		all = append(all, shownAsk{x, under + "/blind/" + url.PathEscape(string(x.ID))})
	}
	return all
}

// reasonWords are a reason in a language: what was chosen is translated, what was typed stays.
func reasonWords(say site.Tongue, reason string) string {
	chosen, typed, more := strings.Cut(reason, ": ")
	if !more {
		return say.Translate(reason)
	}
	return say.Translate(chosen) + ": " + typed
}

// inWords is what was shown, in a language.
func inWords(say site.Tongue, r panel.Revealed) panel.Revealed {
	r.Reason, r.Contents = reasonWords(say, r.Reason), r.In(say.Tag())
	return r
}

// floorBlind is the page on which floor asks, and the room that it is of.
func (s *handlers) floorBlind(c *gin.Context) (blindPage, panel.Room, error) {
	by := site.SessionOf(c)
	r, err := s.Panel.Room(c.Request.Context(), by)
	page := blindPage{site.StaffFrameFor(c, by.Role, "Show what a plate is (emergency)", r.Sitting, r.Invented),
		newBlindForm(c, "/floor/blind", "/floor", site.TongueOf(c).Translate("All seats"))}
	page.Form.Together = true
	return page, r, err
}

func (s *handlers) askBlindForm(c *gin.Context) error {
	page, r, err := s.floorBlind(c)
	if err != nil {
		return err
	}
	if !r.Open {
		return panel.ErrNotOpen
	}
	return site.Show(s.Site, c, http.StatusOK, blindScreen, page)
}

func (s *handlers) askBlind(c *gin.Context) error {
	page, _, err := s.floorBlind(c)
	if err != nil {
		return err
	}
	ask, err := s.Panel.AskBlind(c.Request.Context(), site.SessionOf(c), page.Form.asked(""))
	if err == nil {
		return site.SeeOther(c, "/floor/blind/"+url.PathEscape(string(ask.ID)))
	}
	if !page.Form.refuse(page.Tongue(), err) {
		return err
	}
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, blindScreen, page)
}

func (s *handlers) askedBlind(c *gin.Context) error {
	page, _, err := s.floorBlind(c)
	if err != nil {
		return err
	}
	ask, err := s.Panel.BlindAsk(c.Request.Context(), site.SessionOf(c), panel.BlindAskID(c.Param("ask")))
	if err != nil {
		return err
	}
	shown := shownAsks(page.Tongue(), []panel.BlindAsk{ask}, "/floor")[0]
	return site.Show(s.Site, c, http.StatusOK, askedScreen, askedPage{page.StaffFrame, shown, shown.At})
}

// openedBlind shows the serving in the answer to a form, as [handlers.breakBlind] does.
func (s *handlers) openedBlind(c *gin.Context) error {
	page, _, err := s.floorBlind(c)
	if err != nil {
		return err
	}
	r, err := s.Panel.OpenedBlind(c.Request.Context(), site.SessionOf(c), panel.BlindAskID(c.Param("ask")))
	if errors.Is(err, panel.ErrNotYet) {
		return site.SeeOther(c, "/floor/blind/"+url.PathEscape(c.Param("ask")))
	}
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, openedScreen,
		openedPage{page.StaffFrame, inWords(page.Tongue(), r), page.Form.Back, page.Form.BackWords})
}

// agreeBlind is of kitchen and floor.
func (s *handlers) agreeBlind(c *gin.Context) error {
	by := site.SessionOf(c)
	if err := s.Panel.AgreeBlind(c.Request.Context(), by, panel.BlindAskID(c.Param("ask"))); err != nil {
		return err
	}
	if by.Role == panel.RoleKitchen {
		return site.SeeOther(c, "/kitchen")
	}
	return site.SeeOther(c, "/floor")
}
