package server

import (
	"errors"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// freePage lets the lead free a place that never tasted.
type freePage struct {
	frame
	ID, Study string
	Number    field
	Problems  []problem
	Done      int // the number whose place was freed just now; 0 = none
}

var freeScreen = screen[freePage]{"free_place", desk}

// freeSeat frees the place of a seat; the list follows, where it is no more.
func (s *server) freeSeat(c *gin.Context) error {
	if err := s.svc.FreeSeat(c.Request.Context(), who(c), c.Param("seat")); err != nil {
		return err
	}
	return seeOther(c, "/floor?show="+showAll)
}

func (s *server) freeForm(c *gin.Context) error {
	page, err := s.freePage(c)
	if err != nil {
		return err
	}
	if n, err := strconv.Atoi(c.Query("done")); err == nil && n > 0 {
		page.Done = n
	}
	return show(s, c, http.StatusOK, freeScreen, page)
}

func (s *server) freePage(c *gin.Context) (freePage, error) {
	kept, err := s.svc.Study(c.Request.Context(), c.Param("id"))
	if err != nil {
		return freePage{}, err
	}
	if kept.State != panel.Open {
		return freePage{}, panel.ErrWrongState
	}
	return freePage{frame: s.deskFrame(c, "Free a place", kept.Asked.Invented), ID: kept.ID, Study: kept.Asked.Title,
		Number: field{ID: "number", Label: "Seat number", Hint: "as on the floor’s list", Type: "text", Mode: "numeric", Autocomplete: "off"}}, nil
}

func (s *server) freeNumber(c *gin.Context) error {
	page, err := s.freePage(c)
	if err != nil {
		return err
	}
	page.Number.Value = strings.TrimSpace(c.Request.PostFormValue("number"))
	n, err := strconv.Atoi(page.Number.Value)
	if err == nil {
		err = s.svc.FreeNumber(c.Request.Context(), who(c), page.ID, n)
	} else {
		err = panel.ErrNotFound
	}
	switch {
	case err == nil:
		return seeOther(c, "/studies/"+page.ID+"/free?done="+strconv.Itoa(n))
	case errors.Is(err, panel.ErrNotFound):
		page.Number.Problem = "Nobody has this number."
	case errors.Is(err, panel.ErrTasted):
		page.Number.Problem = "This guest has tasted: the place stays taken."
	default:
		return err
	}
	page.Problems = []problem{{"number", page.Number.Problem}}
	return show(s, c, http.StatusUnprocessableEntity, freeScreen, page)
}
