package desk

import (
	"errors"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/site"
)

// verdictsFor bounds how long the list of studies works out verdicts. What was found once is
// remembered by the service, so that the next look has the rest.
const verdictsFor = 400 * time.Millisecond

// verdicts puts the verdict of each closed study into its line.
func (s *handlers) verdicts(c *gin.Context, page *studyList, found []panel.Study) error {
	lines := map[panel.StudyID]*studyLink{}
	for i := range page.Groups {
		for k := range page.Groups[i].Studies {
			lines[page.Groups[i].Studies[k].ID] = &page.Groups[i].Studies[k]
		}
	}
	until := time.Now().Add(verdictsFor)
	for _, x := range found {
		line := lines[x.ID]
		if line == nil || x.State != panel.Closed {
			continue
		}
		if time.Now().After(until) {
			line.Verdict = "Open it to see what was found."
			continue
		}
		stored, result, err := s.Panel.Findings(c.Request.Context(), x.ID)
		switch {
		case errors.Is(err, analysis.ErrNoRatings):
			line.Verdict = "Nobody had rated anything."
			continue
		case err != nil:
			return err
		}
		said, people := report.VerdictLine(stored.Spec, result)
		line.Verdict, line.People = said, site.Counted(people, "guest")
	}
	return nil
}
