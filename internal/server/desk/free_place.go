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

// freePage lets the lead free a place that never tasted.
type freePage struct {
	site.Frame
	ID, Study string
	Number    site.Field
	Problems  []site.Problem
	Done      int // the number whose place was freed just now; 0 = none
}

var freeScreen = site.DeskScreen[freePage]("desk/free_place")

func (s *handlers) freeForm(c *gin.Context) error {
	page, err := s.freePage(c)
	if err != nil {
		return err
	}
	if n, err := strconv.Atoi(c.Query("done")); err == nil && n > 0 {
		page.Done = n
	}
	return site.Show(s.Site, c, http.StatusOK, freeScreen, page)
}

func (s *handlers) freePage(c *gin.Context) (freePage, error) {
	stored, err := s.Panel.Study(c.Request.Context(), c.Param("id"))
	if err != nil {
		return freePage{}, err
	}
	if stored.State != panel.Open {
		return freePage{}, panel.ErrWrongState
	}
	return freePage{Frame: s.DeskFrame(c, "Free a place", stored.Spec.Invented), ID: stored.ID,
		Study: stored.Spec.Title,
		Number: site.Field{ID: "number", Label: "Seat number", Hint: "as on the floor’s list", Type: "text",
			Mode: "numeric", Autocomplete: "off"}}, nil
}

func (s *handlers) freeNumber(c *gin.Context) error {
	page, err := s.freePage(c)
	if err != nil {
		return err
	}
	page.Number.Value = strings.TrimSpace(c.Request.PostFormValue("number"))
	n, err := strconv.Atoi(page.Number.Value)
	if err == nil {
		err = s.Panel.FreeNumber(c.Request.Context(), site.SessionOf(c), page.ID, n)
	} else {
		err = panel.ErrNotFound
	}
	switch {
	case err == nil:
		return site.SeeOther(c, "/studies/"+page.ID+"/free?done="+strconv.Itoa(n))
	case errors.Is(err, panel.ErrNotFound):
		page.Number.Problem = "Nobody has this number."
	case errors.Is(err, panel.ErrTasted):
		page.Number.Problem = "This guest has tasted: the place stays taken."
	default:
		return err
	}
	page.Problems = []site.Problem{{Field: "number", Text: page.Number.Problem}}
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, freeScreen, page)
}
