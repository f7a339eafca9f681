package desk

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/datapackage"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
	"cloche/web"
)

// closed is a study with its report.
type closed struct {
	site.Frame
	ID       panel.StudyID
	Report   report.Page
	Study    summary.Study
	Lock     lockWords
	Keep     keeping
	ClosedAt string
	NoAnswer string // why there are no findings; "" when there are
	Drawn    bool   // the figure script was built
	Share    *sharing
	Licences []datapackage.Licence // to publish the data under
	Judged   bool                  // how well each assessor did is on a page of the lead's own
	Until    string                // until when answers can be taken out; "" when they no longer can
}

var closedScreen = site.DeskScreen[closed]("desk/closed")

func (s *handlers) showClosed(c *gin.Context, stored panel.Study, keep keeping) error {
	plan, err := s.Panel.DealtPlan(c.Request.Context(), stored)
	if err != nil {
		return err
	}
	page := closed{
		Frame: s.StudyFrame(c, stored.Spec.Title, stored.Spec), ID: stored.ID,
		Study: summary.Of(site.TongueOf(c), stored, plan), Lock: lockOf(site.TongueOf(c), stored), Keep: keep,
		ClosedAt: site.TongueOf(c).Moment(stored.ClosedAt.In(stored.Zone())),
		Drawn:    web.FiguresBuilt(), Licences: datapackage.Licences,
	}
	if s.Panel.MayWithdraw(stored) {
		page.Until = site.TongueOf(c).Moment(stored.WithdrawUntil().In(stored.Zone()))
	}
	if page.Share, err = s.sharingOf(c, stored); err != nil {
		return err
	}
	_, found, err := s.Panel.Findings(c.Request.Context(), stored.ID)
	switch {
	case errors.Is(err, analysis.ErrNoRatings):
		page.NoAnswer = "There are no ratings: nobody had rated a serving when the study was closed, or all " +
			"answers were deleted."
	case err != nil:
		return err
	default:
		beside, err := reportOptions(c.Request.Context(), s.Panel, stored, found)
		if err != nil {
			return err
		}
		beside.Tell, beside.LangOf = tellsIn(site.TongueOf(c)), page.Frame.LangOf
		page.Report = report.Build(stored.Spec, found, beside)
		page.Report.TitleLang = page.Frame.LangOf(stored.Spec.Title)
		page.Judged = found.Profile != nil && panel.May(site.SessionOf(c).Role, panel.KnowAssessors,
			stored.State) == panel.Whole
	}
	return site.Show(s.Site, c, http.StatusOK, closedScreen, page)
}

// tellsIn puts what a report says into a language.
func tellsIn(tongue site.Tongue) func(study.Said) string {
	return func(said study.Said) string { return tongue.Tell(said) }
}

func (s *handlers) findingsJSON(c *gin.Context) error {
	stored, found, err := s.Panel.Findings(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := report.WriteJSON(&b, stored.Spec, found); err != nil {
		return fmt.Errorf("write findings: %w", err)
	}
	if err := s.noteDownload(c, stored, "findings.json"); err != nil {
		return err
	}
	return download(c, stored, "application/json", "findings.json", &b)
}
