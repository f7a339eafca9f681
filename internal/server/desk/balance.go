package desk

import (
	"bytes"
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/builder"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/web"
)

// evenness is how even the serving plan of a study is. It holds no code.
type evenness struct {
	site.Frame
	ID        panel.StudyID
	Study     string
	CannotRun string // why no plan can be drawn; "" when one can
	OnArrival bool   // there is nothing to count before the close: samples are dealt on arrival
	Figure    report.Figure
	Text      string
	Drawn     bool // the figure script was built
}

var balanceScreen = site.DeskScreen[evenness]("desk/balance")

// balance shows the balance of the plan: the one that is fixed or, for a draft,
// the one that locking would fix.
func (s *handlers) balance(c *gin.Context) error {
	stored, plan, err := s.planOf(c)
	if errors.Is(err, panel.ErrMistakes) {
		return site.Show(s.Site, c, http.StatusOK, builder.HinderedScreen,
			builder.HinderedBy(s.Site, c, stored, "No plan yet", stored.Problems))
	}
	reason, refused := summary.CannotRun(site.TongueOf(c), err)
	if err != nil && !refused {
		return err
	}
	page := evenness{
		Frame: s.DeskFrame(c, "How even the serving plan is", stored.Spec), ID: stored.ID,
		Study:     stored.Spec.Title,
		CannotRun: reason, Drawn: web.FiguresBuilt(),
	}
	page.OnArrival = stored.Spec.Serving.DealtOnArrival() && stored.State != panel.Closed
	if !refused && !page.OnArrival {
		weighed, err := plan.CountBalance(stored.Spec)
		if err != nil {
			return err
		}
		var text bytes.Buffer
		if err := weighed.WriteText(&text); err != nil {
			return err
		}
		page.Figure, page.Text = report.BalanceFigure(weighed, tellsIn(site.TongueOf(c))), text.String()
	}
	return site.Show(s.Site, c, http.StatusOK, balanceScreen, page)
}

func (s *handlers) planOf(c *gin.Context) (panel.Study, *design.Plan, error) {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return panel.Study{}, nil, err
	}
	if stored.State == panel.Draft {
		return s.Panel.Preview(c.Request.Context(), stored.ID)
	}
	if stored.State == panel.Closed {
		plan, err := s.Panel.DealtPlan(c.Request.Context(), stored)
		return stored, plan, err
	}
	plan, err := stored.FixedPlan()
	return stored, plan, err
}
