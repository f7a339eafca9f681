package server

import (
	"errors"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// takeOutPage lets the lead take out the answers of a guest who asks for it.
type takeOutPage struct {
	frame
	ID, Study string
	Until     string // "" while the study is open
	Over      bool   // the time for it is over
	Number    field
	Problems  []problem
	Done      int // the assessor whose answers were taken out just now; 0 = none
}

var takeOutScreen = screen[takeOutPage]{"take_out", desk}

func (s *server) takeOutForm(c *gin.Context) error {
	page, err := s.takeOutPage(c)
	if err != nil {
		return err
	}
	if n, err := strconv.Atoi(c.Query("done")); err == nil && n > 0 {
		page.Done = n
	}
	return show(s, c, http.StatusOK, takeOutScreen, page)
}

func (s *server) takeOutPage(c *gin.Context) (takeOutPage, error) {
	kept, err := s.svc.Study(c.Request.Context(), c.Param("id"))
	if err != nil {
		return takeOutPage{}, err
	}
	if kept.State < panel.Open {
		return takeOutPage{}, panel.ErrWrongState
	}
	page := takeOutPage{frame: s.deskFrame(c, "Take answers out", kept.Asked.Invented), ID: kept.ID, Study: kept.Asked.Title,
		Number: field{ID: "number", Label: "Seat number", Hint: "as on the guest’s phone", Type: "text", Mode: "numeric", Autocomplete: "off"}}
	if kept.State == panel.Closed {
		until := kept.WithdrawUntil()
		page.Over = !s.svc.MayWithdraw(kept)
		page.Until = when(until)
		if until.IsZero() {
			page.Until = when(kept.ClosedAt)
		}
	}
	return page, nil
}

func (s *server) takeOut(c *gin.Context) error {
	page, err := s.takeOutPage(c)
	if err != nil {
		return err
	}
	page.Number.Value = strings.TrimSpace(c.Request.PostFormValue("number"))
	n, err := strconv.Atoi(page.Number.Value)
	if err == nil {
		err = s.svc.TakeOut(c.Request.Context(), who(c), page.ID, n)
	} else {
		err = panel.ErrNotFound
	}
	status := http.StatusUnprocessableEntity
	switch {
	case err == nil:
		return seeOther(c, "/studies/"+page.ID+"/take-out?done="+strconv.Itoa(n))
	case errors.Is(err, panel.ErrNotFound):
		page.Number.Problem = "Nobody has this number. Ask the guest to read it from the phone again."
	case errors.Is(err, panel.ErrWithdrawn):
		page.Number.Problem = "The answers of this number are out already."
	case errors.Is(err, panel.ErrNotOpen):
		page.Over, status = true, http.StatusConflict
		return show(s, c, status, takeOutScreen, page)
	default:
		return err
	}
	page.Problems = []problem{{"number", page.Number.Problem}}
	return show(s, c, status, takeOutScreen, page)
}
