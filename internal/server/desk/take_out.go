package desk

import (
	"errors"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// takeOutPage lets the lead take out the answers of a guest who asks for it.
type takeOutPage struct {
	site.Frame
	ID, Study string
	Until     string // "" while the study is open
	Over      bool   // the time for it is over
	Number    site.Field
	Problems  []site.Problem
	Done      int // the assessor whose answers were taken out just now; 0 = none
}

var takeOutScreen = site.DeskScreen[takeOutPage]("desk/take_out")

func (s *handlers) takeOutForm(c *gin.Context) error {
	page, err := s.takeOutPage(c)
	if err != nil {
		return err
	}
	if n, err := strconv.Atoi(c.Query("done")); err == nil && n > 0 {
		page.Done = n
	}
	return site.Show(s.Site, c, http.StatusOK, takeOutScreen, page)
}

func (s *handlers) takeOutPage(c *gin.Context) (takeOutPage, error) {
	stored, err := s.Panel.Study(c.Request.Context(), c.Param("id"))
	if err != nil {
		return takeOutPage{}, err
	}
	if stored.State < panel.Open {
		return takeOutPage{}, panel.ErrWrongState
	}
	page := takeOutPage{Frame: s.DeskFrame(c, "Take answers out", stored.Spec.Invented), ID: stored.ID,
		Study: stored.Spec.Title,
		Number: site.Field{ID: "number", Label: "Seat number", Hint: "as on the guest’s phone", Type: "text",
			Mode: "numeric", Autocomplete: "off"}}
	if stored.State == panel.Closed {
		until := stored.WithdrawUntil()
		page.Over = !s.Panel.MayWithdraw(stored)
		page.Until = site.Moment(until)
		if until.IsZero() {
			page.Until = site.Moment(stored.ClosedAt)
		}
	}
	return page, nil
}

func (s *handlers) takeOut(c *gin.Context) error {
	page, err := s.takeOutPage(c)
	if err != nil {
		return err
	}
	page.Number.Value = strings.TrimSpace(c.Request.PostFormValue("number"))
	n, err := strconv.Atoi(page.Number.Value)
	if err == nil {
		err = s.Panel.TakeOut(c.Request.Context(), site.SessionOf(c), page.ID, n)
	} else {
		err = panel.ErrNotFound
	}
	status := http.StatusUnprocessableEntity
	switch {
	case err == nil:
		return site.SeeOther(c, "/studies/"+page.ID+"/take-out?done="+strconv.Itoa(n))
	case errors.Is(err, panel.ErrNotFound):
		page.Number.Problem = "Nobody has this number. Ask the guest to read it from the phone again."
	case errors.Is(err, panel.ErrWithdrawn):
		page.Number.Problem = "The answers of this number are out already."
	case errors.Is(err, panel.ErrNotOpen):
		page.Over, status = true, http.StatusConflict
		return site.Show(s.Site, c, status, takeOutScreen, page)
	default:
		return err
	}
	page.Problems = []site.Problem{{Field: "number", Text: page.Number.Problem}}
	return site.Show(s.Site, c, status, takeOutScreen, page)
}
