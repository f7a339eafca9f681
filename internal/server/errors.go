package server

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"runtime/debug"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/words"
)

// notice is a page that says one thing: an error, or that a tasting is not on.
type notice struct {
	frame
	Heading            string
	Text               []string
	Reference          string // of the log's entry, for errors of ours
	Again              *again // a form that was not taken; nil when there was none
	Onward, OnwardText string
}

var (
	noticeScreen     = screen[notice]{"notice", phone}
	deskNoticeScreen = screen[notice]{"desk_notice", desk}
)

// Bounds of what a request may send, in bytes.
const (
	maxForm = 64 << 10
	maxFile = panel.MaxFile
)

var errForm = errors.New("the form cannot be read")

// notFound is the answer to every address that leads nowhere.
func notFound(*gin.Context) error { return panel.ErrNotFound }

// adapt turns a handler that returns an error into one that Gin calls. It reads
// the form of a POST, bounded, before the handler sees it.
func (s *server) adapt(r route) gin.HandlerFunc {
	return func(c *gin.Context) {
		defer func() {
			if p := recover(); p != nil {
				s.log.Error("panic", "value", fmt.Sprint(p), "stack", string(debug.Stack()))
				s.fail(c, r.role, fmt.Errorf("panic: %v", p))
			}
		}()
		if r.role == assessor && (s.speak(c) || s.resize(c)) {
			return
		}
		err := readForm(c, r.role)
		if err == nil {
			err = s.inTurn(c, r)
		}
		if err != nil {
			s.fail(c, r.role, err)
		}
	}
}

// maxDrained is how much of a picture that is too large is read and thrown away: a
// browser shows an answer only to what it could send to the end.
const maxDrained = 64 << 20

// readForm reads the form of a POST, bounded. Only forms with a file have parts;
// they stay in memory. The lead's forms hold texts of whole studies.
func readForm(c *gin.Context, of role) error {
	r := c.Request
	most, parts := int64(maxForm), int64(2*maxFile+maxForm)
	if of == lead || c.FullPath() == signInRoute { // which may carry a form of the lead's
		most = 3*maxFile + maxForm // three bytes for each that is escaped
		parts = panel.MaxPhoto + maxForm
	}
	if r.Method != http.MethodPost {
		return nil
	}
	var err error
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
		sent := r.Body
		r.Body = http.MaxBytesReader(c.Writer, sent, parts)
		err = r.ParseMultipartForm(parts)
		if err != nil && of == lead {
			_, _ = io.CopyN(io.Discard, sent, maxDrained)
		}
	} else {
		r.Body = http.MaxBytesReader(c.Writer, r.Body, most)
		err = r.ParseForm()
	}
	if err != nil {
		return fmt.Errorf("%w: %w", errForm, err)
	}
	return nil
}

// fail writes the page of an error; errors of ours are logged under a reference
// that the page shows.
func (s *server) fail(c *gin.Context, r role, err error) {
	if aborted(c, err) {
		s.log.Info("the browser did not wait", slog.String("route", c.FullPath()))
		c.Status(statusAborted)
		return
	}
	lang := "en"
	if r&(atDesk|inRoom) == 0 {
		lang = noticeLanguage(c)
	}
	status, page := explain(err, r, words.In(lang))
	if r == assessor {
		page.frame = page.sized(c)
	}
	page.Title, page.lang = page.Heading, lang
	if status == http.StatusServiceUnavailable {
		c.Header("Retry-After", retryAfter)
		page.Again = againOf(c, r)
	}
	if status == http.StatusTooManyRequests {
		c.Header("Retry-After", "60")
		page.Again = againOf(c, r)
	}
	if status >= http.StatusInternalServerError {
		page.Reference = rand.Text()[:8]
		s.log.Error("request failed", slog.String("reference", page.Reference),
			slog.String("route", c.FullPath()), slog.Any("error", err))
	}
	if c.Writer.Written() {
		return
	}
	x := noticeScreen
	switch {
	case r&atDesk != 0:
		x, page.SignedIn, page.Reader = deskNoticeScreen, true, who(c).Role == panel.RolePartner
	case r&inRoom != 0:
		x = staffNoticeScreen
	}
	if err := show(s, c, status, x, page); err != nil {
		s.log.Error("error page failed", slog.Any("error", err))
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
func explain(err error, r role, w words.Words) (int, notice) {
	var (
		tooLarge *http.MaxBytesError
		notYet   *panel.NotYetError
	)
	switch {
	case errors.Is(err, panel.ErrUnavailable):
		return http.StatusServiceUnavailable, unavailableNotice(r, w)
	case errors.Is(err, panel.ErrSlowDown) && r == assessor:
		return http.StatusTooManyRequests, notice{Heading: w.TooMany, Text: []string{w.TooManyText}}
	case errors.Is(err, errNotLead):
		return http.StatusForbidden, notice{
			Heading: "This is for the lead alone", Text: []string{"You are signed in as the partner: you can read every page of a study, and change nothing."},
			Onward: "/studies", OnwardText: "All studies",
		}
	case r&inRoom != 0 && explainsToStaff(err):
		return explainToStaff(err)
	case errors.Is(err, panel.ErrNotFound) && r&atDesk != 0:
		return http.StatusNotFound, notice{
			Heading: "There is no such page", Text: []string{"The study may belong to another service."},
			Onward: "/studies", OnwardText: "All studies",
		}
	case errors.Is(err, panel.ErrNotFound), errors.Is(err, errRefused):
		return http.StatusNotFound, notice{
			Heading: w.Nowhere, Text: []string{w.NowhereText},
		}
	case errors.Is(err, panel.ErrFull):
		return http.StatusConflict, fullNotice(w)
	case errors.Is(err, panel.ErrNotOpen):
		return http.StatusConflict, notOpenNotice(w)
	case errors.Is(err, panel.ErrWrongState):
		return http.StatusConflict, notice{
			Heading: "Not in this state", Text: []string{"The study has moved on, or is not that far yet. What you asked for needs another state: draft, locked, open, closed."},
			Onward: "/studies", OnwardText: "All studies",
		}
	case r&atDesk != 0 && explainsToDesk(err):
		return explainToDesk(err)
	case errors.Is(err, analysis.ErrNoRatings):
		return http.StatusConflict, notice{
			Heading: "There is nothing to find", Text: []string{"There are no ratings: nobody had rated a serving when the study was closed, or all answers were taken out."},
			Onward: "/studies", OnwardText: "All studies",
		}
	case errors.As(err, &notYet):
		return http.StatusUnprocessableEntity, notice{
			Heading: "This service cannot run the study as it stands", Text: []string{sentence(notYet.What), sentence(notYet.Do)},
			Onward: "/studies", OnwardText: "All studies",
		}
	case errors.As(err, &tooLarge) && r&atDesk != 0:
		return http.StatusRequestEntityTooLarge, notice{
			Heading: "That is too much to take", Text: []string{fmt.Sprintf("A study file may hold at most %d KiB, a photo %d MiB.", maxFile>>10, panel.MaxPhoto>>20)},
		}
	case errors.As(err, &tooLarge):
		return http.StatusRequestEntityTooLarge, notice{Heading: w.TooMuch, Text: []string{w.WriteLess}}
	case errors.Is(err, errForeign):
		return http.StatusForbidden, notice{Heading: w.Foreign, Text: []string{w.FromHere}}
	case errors.Is(err, errForm):
		return http.StatusBadRequest, notice{
			Heading: w.NotWhole, Text: []string{w.SendAgain},
		}
	}
	return http.StatusInternalServerError, notice{
		Heading: w.OurFault, Text: []string{w.TryAgain},
	}
}

func fullNotice(w words.Words) notice {
	return notice{Heading: w.Full, Text: []string{w.FullText}}
}

// standNotice says to a guest why a sitting cannot be joined.
func standNotice(w words.Words, at panel.Stand) notice {
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
