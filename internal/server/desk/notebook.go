package desk

import (
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
)

// verdictsFor bounds how long the list of studies works out verdicts. What was found once is
// kept, so that the next look has the rest.
const verdictsFor = 400 * time.Millisecond

// verdicts puts the verdict of each closed study into its line.
func (s *handlers) verdicts(c *gin.Context, page *studyList, found []panel.Study) error {
	lines := map[panel.StudyID]*studyLink{}
	for i := range page.Groups {
		for k := range page.Groups[i].Studies {
			lines[page.Groups[i].Studies[k].ID] = &page.Groups[i].Studies[k]
		}
	}
	ctx, program := c.Request.Context(), summary.Software()
	kept, err := s.Panel.VerdictLines(ctx, program)
	if err != nil {
		return err
	}
	until := time.Now().Add(verdictsFor)
	for _, x := range found {
		line := lines[x.ID]
		if line == nil || x.State != panel.Closed {
			continue
		}
		verdict, known := kept[x.ID]
		if !known && time.Now().After(until) {
			line.Verdict = "Open it to see what was found."
			continue
		}
		if !known {
			if verdict, err = s.Panel.KeepVerdictLine(ctx, x.ID, program, sayVerdict); err != nil {
				return err
			}
		}
		if line.Verdict = verdict.Said; verdict.People == 0 {
			line.Verdict = "Nobody had rated anything."
			continue
		}
		line.People = site.Counted(verdict.People, "guest")
	}
	return nil
}

func sayVerdict(stored panel.Study, found *analysis.Result) (said string, people int) {
	return report.VerdictLine(stored.Spec, found)
}
