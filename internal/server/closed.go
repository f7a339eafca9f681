package server

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/datapackage"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/web"
)

// closed is a study with its report.
type closed struct {
	frame
	ID       string
	Report   report.Page
	Study    summary
	Lock     lockWords
	Keep     keeping
	ClosedAt string
	NoAnswer string // why there are no findings; "" when there are
	Drawn    bool   // the figure script was built
	Until    string // until when answers can be taken out; "" when they no longer can
}

var closedScreen = screen[closed]{"closed", desk}

func (s *server) showClosed(c *gin.Context, kept panel.Study, keep keeping) error {
	plan, err := kept.FixedPlan()
	if err != nil {
		return err
	}
	page := closed{
		frame: s.deskFrame(c, kept.Asked.Title, kept.Asked.Invented), ID: kept.ID,
		Study: summarise(kept, plan), Lock: lockOf(kept), Keep: keep, ClosedAt: when(kept.ClosedAt), Drawn: web.FiguresBuilt(),
	}
	if s.svc.MayWithdraw(kept) {
		page.Until = when(kept.WithdrawUntil())
	}
	_, found, err := s.svc.Findings(c.Request.Context(), kept.ID)
	switch {
	case errors.Is(err, analysis.ErrNoRatings):
		page.NoAnswer = "There are no ratings: nobody had rated a serving when the study was closed, or all answers were taken out."
	case err != nil:
		return err
	default:
		begun, err := s.svc.Begun(c.Request.Context(), kept.ID)
		if err != nil {
			return err
		}
		page.Report = report.Build(kept.Asked, found, report.Options{Notes: begunWords(begun)})
	}
	return show(s, c, http.StatusOK, closedScreen, page)
}

func (s *server) findingsJSON(c *gin.Context) error {
	kept, found, err := s.svc.Findings(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := report.WriteJSON(&b, kept.Asked, found); err != nil {
		return fmt.Errorf("write findings: %w", err)
	}
	return download(c, kept, "application/json", "findings.json", &b)
}

// download gives a file to keep, named after its study.
func download(c *gin.Context, kept panel.Study, kind, name string, b *bytes.Buffer) error {
	attach(c, kept, name)
	writePage(c, http.StatusOK, kind, b.Bytes())
	return nil
}

// attach has the browser keep what is sent under a name of its study.
func attach(c *gin.Context, kept panel.Study, name string) {
	c.Header("Content-Disposition", `attachment; filename="`+datapackage.FileName(kept, name, time.Now())+`"`)
}
