package site

import (
	"context"
	"crypto/rand"
	"errors"
	"log/slog"
	"net/http"

	"github.com/gin-gonic/gin"

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
	noticeScreen      = PhoneScreen[notice]("site/notice")
	deskNoticeScreen  = DeskScreen[notice]("site/desk_notice")
	staffNoticeScreen = StaffScreen[notice]("site/staff_notice")
)

// Fail writes the page of an error; errors of ours are logged under a reference
// that the page shows.
func (s *Site) Fail(c *gin.Context, r Role, err error) {
	if aborted(c, err) {
		s.Log.Info("the browser did not wait", slog.String("route", c.FullPath()))
		c.Status(statusAborted)
		return
	}
	lang := noticeLanguage(c)
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
		x, page.SignedIn, page.Reader = deskNoticeScreen, true, SessionOf(c).Role != panel.RoleLead
		page.Begins = SessionOf(c).House == panel.RoleLead
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
	errNotLead = errors.New("somebody who is signed in has no role for that")
	// errNotOwner is the same where it takes the owner.
	errNotOwner = errors.New("only the owner adds users and ends them")
	ErrForeign  = errors.New("the form was sent from another site")
	// ErrNotShared is of a link under which no report is shared, or not any more.
	ErrNotShared = errors.New("no report is shared under this link")
)
