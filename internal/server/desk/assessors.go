package desk

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/site"
)

// assessors is how well each assessor of a panel did: for the lead alone.
type assessors struct {
	site.Frame
	ID    panel.StudyID
	Study string
	Found report.Assessors
}

var assessorsScreen = site.DeskScreen[assessors]("desk/assessors")

func (s *handlers) assessors(c *gin.Context) error {
	stored, check, err := s.Panel.PanelCheck(c.Request.Context(), site.SessionOf(c), site.StudyIn(c))
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, assessorsScreen, assessors{
		Frame: s.DeskFrame(c, "How each assessor did", stored.Spec), ID: stored.ID,
		Study: stored.Spec.Title,
		Found: report.AssessorsOf(stored.Spec, check, tellsIn(site.TongueOf(c)))})
}
