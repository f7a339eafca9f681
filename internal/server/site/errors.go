package site

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/words"
)

// notice is a page that says one thing: an error, or that a tasting is not on.
type notice struct {
	Frame
	Heading            string
	Text               []string
	Reference          string // of the log's entry, for errors of ours
	Again              *again // a form that was not taken; nil when there was none
	Onward, OnwardText string
}

var (
	noticeScreen     = PhoneScreen[notice]("site/notice")
	deskNoticeScreen = DeskScreen[notice]("site/desk_notice")
)

// Fail writes the page of an error; errors of ours are logged under a reference
// that the page shows.
func (s *Site) Fail(c *gin.Context, r Role, err error) {
	if aborted(c, err) {
		s.Log.Info("the browser did not wait", slog.String("route", c.FullPath()))
		c.Status(statusAborted)
		return
	}
	lang := "en"
	if r&(AtDesk|InRoom) == 0 {
		lang = noticeLanguage(c)
	}
	status, page := explain(err, r, words.In(lang))
	if r == Assessor {
		page.Frame = page.sized(c)
	}
	page.Title, page.Lang = page.Heading, lang
	if status == http.StatusServiceUnavailable {
		c.Header("Retry-After", RetryAfter)
		page.Again = againOf(c, r)
	}
	if status == http.StatusTooManyRequests {
		c.Header("Retry-After", "60")
		page.Again = againOf(c, r)
	}
	if status >= http.StatusInternalServerError {
		page.Reference = rand.Text()[:8]
		s.Log.Error("request failed", slog.String("reference", page.Reference),
			slog.String("route", c.FullPath()), slog.Any("error", err))
	}
	if c.Writer.Written() {
		return
	}
	x := noticeScreen
	switch {
	case r&AtDesk != 0:
		x, page.SignedIn, page.Reader = deskNoticeScreen, true, SessionOf(c).Role == panel.RolePartner
	case r&InRoom != 0:
		x = staffNoticeScreen
	}
	if err := Show(s, c, status, x, page); err != nil {
		s.Log.Error("error page failed", slog.Any("error", err))
		c.Status(http.StatusInternalServerError)
	}
}

// statusAborted stands in the log for a request whose browser went away; nobody
// reads it. Common practice, no source.
const statusAborted = 499

// aborted reports whether an error comes from nothing but that.
func aborted(c *gin.Context, err error) bool {
	return errors.Is(err, context.Canceled) && c.Request.Context().Err() != nil
}

// explain is the one place that maps kinds of error to status and page. What an
// assessor reads says nothing of the study; w is the assessor's language.
func explain(err error, r Role, w words.Words) (int, notice) {
	var (
		tooLarge *http.MaxBytesError
		notYet   *panel.NotYetError
		freed    *panel.FreedError
	)
	switch {
	case errors.Is(err, panel.ErrUnavailable):
		return http.StatusServiceUnavailable, unavailableNotice(r, w)
	case errors.Is(err, panel.ErrSlowDown) && r == Assessor:
		return http.StatusTooManyRequests, notice{Heading: w.TooMany, Text: []string{w.TooManyText}}
	case errors.Is(err, errNotLead):
		return http.StatusForbidden, notice{
			Heading: "This is for the lead alone", Text: []string{"You are signed in as the partner: you can read every page of a study, and change nothing."},
			Onward: "/studies", OnwardText: "All studies",
		}
	case r&InRoom != 0 && ExplainsToStaff(err):
		return ExplainToStaff(err)
	case errors.Is(err, panel.ErrNotFound) && r&AtDesk != 0:
		return http.StatusNotFound, notice{
			Heading: "There is no such page", Text: []string{"The study may belong to another service."},
			Onward: "/studies", OnwardText: "All studies",
		}
	case errors.As(err, &freed) && r == Assessor:
		return http.StatusGone, notice{
			Heading: w.PlaceFreed, Text: []string{w.PlaceFreedText},
			Onward: "/join/" + freed.Join, OnwardText: w.JoinAgain,
		}
	case errors.Is(err, panel.ErrNotFound), errors.Is(err, ErrRefused):
		return http.StatusNotFound, notice{
			Heading: w.Nowhere, Text: []string{w.NowhereText},
		}
	case errors.Is(err, panel.ErrFull):
		return http.StatusConflict, FullNotice(w)
	case errors.Is(err, panel.ErrNotOpen):
		return http.StatusConflict, notOpenNotice(w)
	case errors.Is(err, panel.ErrWrongState):
		return http.StatusConflict, notice{
			Heading: "Not in this state", Text: []string{"The study has moved on, or is not that far yet. What you asked for needs another state: draft, locked, open, closed."},
			Onward: "/studies", OnwardText: "All studies",
		}
	case r&AtDesk != 0 && explainsToDesk(err):
		return explainToDesk(err)
	case errors.Is(err, analysis.ErrNoRatings):
		return http.StatusConflict, notice{
			Heading: "There is nothing to find", Text: []string{"There are no ratings: nobody had rated a serving when the study was closed, or all answers were taken out."},
			Onward: "/studies", OnwardText: "All studies",
		}
	case errors.As(err, &notYet):
		return http.StatusUnprocessableEntity, notice{
			Heading: "This service cannot run the study as it stands",
			Text:    []string{Sentence(notYet.What), Sentence(notYet.Do)},
			Onward:  "/studies", OnwardText: "All studies",
		}
	case errors.As(err, &tooLarge) && r&AtDesk != 0:
		return http.StatusRequestEntityTooLarge, notice{
			Heading: "That is too much to take", Text: []string{fmt.Sprintf("A study file may hold at most %d KiB, a photo %d MiB.", MaxFile>>10, panel.MaxPhoto>>20)},
		}
	case errors.As(err, &tooLarge):
		return http.StatusRequestEntityTooLarge, notice{Heading: w.TooMuch, Text: []string{w.WriteLess}}
	case errors.Is(err, ErrForeign):
		return http.StatusForbidden, notice{Heading: w.Foreign, Text: []string{w.FromHere}}
	case errors.Is(err, ErrForm):
		return http.StatusBadRequest, notice{
			Heading: w.NotWhole, Text: []string{w.SendAgain},
		}
	}
	return http.StatusInternalServerError, notice{
		Heading: w.OurFault, Text: []string{w.TryAgain},
	}
}

func FullNotice(w words.Words) notice {
	return notice{Heading: w.Full, Text: []string{w.FullText}}
}

// StandNotice says to a guest why a sitting cannot be joined.
func StandNotice(w words.Words, at panel.Stand) notice {
	switch at {
	case panel.StandNotYet:
		return notice{Heading: w.NotYetOpen, Text: []string{w.NotYetOpenText}}
	case panel.StandReplaced:
		return notice{Heading: w.OldCard, Text: []string{w.OldCardText}}
	case panel.StandOver, panel.StandOpen:
	}
	return notOpenNotice(w)
}

func notOpenNotice(w words.Words) notice {
	return notice{Heading: w.NotOpen, Text: []string{w.NotOpenText}}
}

// Errors of access, told apart by [explain].
var (
	ErrRefused = errors.New("this role may not do that")
	ErrSignIn  = errors.New("somebody has to sign in, or join, first")
	errNotLead = errors.New("the partner reads, the lead does")
	ErrForeign = errors.New("the form was sent from another site")
)
