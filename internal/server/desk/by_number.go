package desk

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// numberPage is a form on which the lead names a guest by the seat number.
type numberPage struct {
	site.Frame
	ID                   panel.StudyID
	Study, Path          string // Path is below the study's
	Heading, Text        string
	Button, Cancel, Done string // Done says what was just done; "" = nothing
	Over                 bool   // it cannot be done any more, as Text says
	Number               site.Field
	Problems             []site.Problem
	Tablet               *onTablet // the code that was asked for; nil = none yet
}

var numberScreen = site.DeskScreen[numberPage]("desk/by_number")

// byNumber is something that the lead does for a guest with a seat number.
type byNumber struct {
	path, title, heading, hint, button, cancel string

	from, to panel.State
	text     func(w site.Tongue, s *panel.Service, stored panel.Study) (text string, over bool)
	do       func(s *panel.Service, ctx context.Context, by panel.Session, studyID panel.StudyID, n int) error
	done     string // with %d for the number
	mistakes []numberMistake
}

// numberMistake is what is said at the field about an error.
type numberMistake struct {
	err  error
	text string
}

var freePlace = byNumber{path: "free", title: "Free a place", heading: "Free a place", from: panel.Open, to: panel.Open,
	hint: "as on the floor’s list", button: "Free this place", cancel: "Leave it",
	done: "The place of guest %d is free.", do: (*panel.Service).FreeNumber,
	text: func(site.Tongue, *panel.Service, panel.Study) (string, bool) {
		return "For a place that somebody took and at which nobody tastes. The next guest gets it, with its order " +
			"and codes. It cannot be freed once a plate was set down there, refused or rated. The phone that took it " +
			"is shut out: answers that it gave without network, and has not sent yet, are lost.", false
	},
	mistakes: []numberMistake{
		{panel.ErrNotFound, "Nobody has this number."},
		{panel.ErrTasted, "This guest has tasted: the place stays taken."},
	}}

var takeOut = byNumber{path: "take-out", title: "Delete answers", heading: "Delete a guest’s answers",
	from: panel.Open, to: panel.Closed,
	hint: "as on the guest’s phone", button: "Delete these answers", cancel: "Leave them",
	done: "The answers of guest %d are deleted.", do: (*panel.Service).TakeOut, text: takeOutText,
	mistakes: []numberMistake{
		{panel.ErrNotFound, "Nobody has this number. Ask the guest to read it from the phone again."},
		{panel.ErrWithdrawn, "The answers of this number are deleted already."},
	}}

var handTablet = byNumber{path: "tablet", title: "The house’s tablet", heading: "Give a guest the house’s tablet",
	from: panel.Open, to: panel.Open, hint: "as on the floor’s list", button: "Show the code", cancel: "Leave it",
	text: func(site.Tongue, *panel.Service, panel.Study) (string, bool) {
		return "For a guest whose phone fails, or who has none. A guest without a number is seated by the floor " +
			"first. The floor’s page of the guest shows who has the tablet, and takes it back.", false
	},
	mistakes: []numberMistake{
		{panel.ErrNotFound, "Nobody who tastes now has this number."},
		{panel.ErrWithdrawn, "The answers of this number are deleted: there is no ballot to show."},
	}}

// onTablet is the code that opens a guest's ballot on the house's tablet.
type onTablet struct {
	Number, Minutes int
	Code            panel.TabletCode
	Address         string // of the tablet's page
	QR              site.QRCode
}

// handTablet shows the lead the code for the guest with the number that was typed.
func (s *handlers) handTablet(c *gin.Context) error {
	page, err := s.numberPage(c, handTablet)
	if err != nil {
		return err
	}
	page.Number.Value = strings.TrimSpace(c.Request.PostFormValue("number"))
	n, err := strconv.Atoi(page.Number.Value)
	if err != nil {
		return s.wrongNumber(c, page, handTablet, panel.ErrNotFound)
	}
	code, err := s.Panel.HandTabletTo(c.Request.Context(), site.SessionOf(c), page.ID, n)
	if err != nil {
		return s.wrongNumber(c, page, handTablet, err)
	}
	t := onTablet{Number: n, Code: code, Minutes: int(panel.HandTabletLasts.Minutes()),
		Address: s.BaseURL(c.Request) + site.TabletPath}
	if t.QR, err = site.NewQR(t.Address + "?code=" + url.QueryEscape(string(code))); err != nil {
		return err
	}
	page.Tablet = &t
	return site.Show(s.Site, c, http.StatusOK, numberScreen, page)
}

func takeOutText(w site.Tongue, s *panel.Service, stored panel.Study) (text string, over bool) {
	text = w.Translate("For a guest who asks for it. Everything that they answered is deleted for good.")
	if stored.State != panel.Closed {
		return text, false
	}
	until := stored.WithdrawUntil()
	if until.IsZero() {
		until = stored.ClosedAt
	}
	until = until.In(stored.Zone())
	if !s.MayWithdraw(stored) {
		return w.Translate("Answers could be deleted until %s. That time is over: the findings stand.",
			w.Moment(until)), true
	}
	return text + " " + w.Translate("This can be done until %s. It makes a new version of the findings, which says "+
		"so: earlier copies hold answers that may no longer be used.", w.Moment(until)), false
}

func (s *handlers) numberPage(c *gin.Context, act byNumber) (numberPage, error) {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return numberPage{}, err
	}
	if stored.State < act.from || stored.State > act.to {
		return numberPage{}, panel.ErrWrongState
	}
	page := numberPage{Frame: s.DeskFrame(c, act.title, stored.Spec), ID: stored.ID, Path: act.path,
		Study: stored.Spec.Title, Heading: act.heading, Button: act.button, Cancel: act.cancel,
		Number: site.Field{ID: "number", Label: "Number of the guest", Hint: act.hint, Type: "text", Mode: "numeric",
			Autocomplete: "off"}}
	page.Text, page.Over = act.text(site.TongueOf(c), s.Panel, stored)
	return page, nil
}

// numberForm shows the form of an act.
func (s *handlers) numberForm(act byNumber) func(*gin.Context) error {
	return func(c *gin.Context) error {
		page, err := s.numberPage(c, act)
		if err != nil {
			return err
		}
		if n, err := strconv.Atoi(c.Query("done")); err == nil && n > 0 {
			page.Done = site.TongueOf(c).Translate(act.done, n)
		}
		return site.Show(s.Site, c, http.StatusOK, numberScreen, page)
	}
}

// actByNumber does an act for the guest with the number that was typed.
func (s *handlers) actByNumber(act byNumber) func(*gin.Context) error {
	return func(c *gin.Context) error {
		page, err := s.numberPage(c, act)
		if err != nil {
			return err
		}
		page.Number.Value = strings.TrimSpace(c.Request.PostFormValue("number"))
		n, err := strconv.Atoi(page.Number.Value)
		if err != nil {
			err = panel.ErrNotFound
		} else if err = act.do(s.Panel, c.Request.Context(), site.SessionOf(c), page.ID, n); err == nil {
			return site.SeeOther(c, "/studies/"+string(page.ID)+"/"+act.path+"?done="+strconv.Itoa(n))
		}
		if page.Over && errors.Is(err, panel.ErrNotOpen) {
			return site.Show(s.Site, c, http.StatusConflict, numberScreen, page)
		}
		return s.wrongNumber(c, page, act, err)
	}
}

// wrongNumber shows the form again with what is wrong about the number, or returns the error.
func (s *handlers) wrongNumber(c *gin.Context, page numberPage, act byNumber, err error) error {
	for _, m := range act.mistakes {
		if errors.Is(err, m.err) {
			page.Number.Problem = m.text
			page.Problems = []site.Problem{{Field: "number", Text: m.text}}
			return site.Show(s.Site, c, http.StatusUnprocessableEntity, numberScreen, page)
		}
	}
	return err
}
