package desk

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/builder"
	"cloche/internal/server/phones"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
)

// rehearsalStart leads to the first screen, or says why there is none.
func (s *handlers) rehearsalStart(c *gin.Context) error {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return err
	}
	page := builder.HinderedBy(s.Site, c, stored, "No rehearsal yet", stored.HinderRehearsal())
	if len(page.Mistakes) > 0 {
		return site.Show(s.Site, c, http.StatusOK, builder.HinderedScreen, page)
	}
	lang := stored.Spec.Languages[0]
	_, err = panel.Rehearse(stored.Spec, lang, 0, time.Now())
	if reason, refused := summary.CannotRun(site.TongueOf(c), err); refused {
		page.Reason = reason
		return site.Show(s.Site, c, http.StatusOK, builder.HinderedScreen, page)
	}
	if err != nil {
		return err
	}
	return site.SeeOther(c, phones.FirstRehearsed(stored.ID, lang))
}
