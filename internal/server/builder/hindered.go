package builder

import (
	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
)

// hindered says what stands between a study and its rehearsal or dry run.
type hindered struct {
	site.Frame
	ID            panel.StudyID
	Study, Reason string
	Mistakes      []remark // the lead's lead to where they are mended
}

var HinderedScreen = site.DeskScreen[hindered]("builder/hindered")

// HinderedBy makes the page of what stands in the way; without mistakes nothing does.
func HinderedBy(s *site.Site, c *gin.Context, stored panel.Study, title string, hinder []study.Problem) hindered {
	page := hindered{Frame: s.DeskFrame(c, title, stored.Spec), ID: stored.ID,
		Study: summary.Title(site.TongueOf(c), stored)}
	b := Open(stored, site.TongueOf(c))
	for _, x := range hinder {
		r := remark{Text: b.says(x)}
		if !page.Reader {
			r.Href = b.Href(b.owner(x.Path)) + "#" + fieldID(x.Path)
		}
		page.Mistakes = append(page.Mistakes, r)
	}
	return page
}
