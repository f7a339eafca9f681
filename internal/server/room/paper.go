package room

import (
	"net/http"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// paperPage prints the ballots of a sitting for guests without phones, in one of the
// study's languages: a sheet before consent, then one for each turn.
type paperPage struct {
	site.Frame
	panel.PaperBallots
	Seat   int // the one whose sheets are printed; 0: everybody's
	Sheets int
	Lines  bool // something is answered on a line
}

var paperScreen = site.PhoneScreen[paperPage]("room/paper")

func (s *handlers) paper(c *gin.Context) error {
	ctx := c.Request.Context()
	if in := c.Query("in"); in != "" {
		ctx = panel.Speaking(ctx, in)
	}
	b, err := s.Panel.PaperBallots(ctx, site.SessionOf(c))
	if err != nil {
		return err
	}
	page := paperPage{PaperBallots: b, Frame: site.GuestFrame(c, b.Invented, b.Language, b.Languages)}
	if page.Seat, _ = strconv.Atoi(c.Query("seat")); page.Seat != 0 { // no number is everybody
		page.Guests = slices.DeleteFunc(page.Guests, func(g panel.PaperGuest) bool { return g.Label != page.Seat })
	}
	for _, g := range page.Guests {
		page.Sheets += 1 + len(g.Turns)
		page.Lines = page.Lines || slices.ContainsFunc(g.Turns, func(t panel.BallotTurn) bool {
			return slices.ContainsFunc(t.Asks, func(a panel.Ask) bool { return a.Line })
		})
		if g.Last != nil {
			page.Sheets++
		}
	}
	return site.Show(s.Site, c, http.StatusOK, paperScreen, page)
}
