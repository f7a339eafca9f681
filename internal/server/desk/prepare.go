package desk

import (
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// preparePage is all that is done between the lock and the first guest.
type preparePage struct {
	site.Frame
	ID       panel.StudyID
	Study    string
	Shopping shopping
	Sittings []sittingLine
	Planned  int
	Reach    string // the address that a phone checks the network with
	ReachQR  site.QRCode
	Local    bool
	Offline  string
	Opened   bool
	Checkups []site.Checkup
}

// CanPrepare reports whether a sitting has no links yet.
func (p preparePage) CanPrepare() bool { return len(p.Sittings) < p.Planned }

// shopping is what is cooked for the whole study.
type shopping struct {
	Lines     []shoppingLine
	Spares    int // plates that may be dropped, over all sittings
	OnArrival bool
}

type shoppingLine struct {
	Dish, Portion, ServeAt, Contains string
	Portions, Spares                 int
}

var prepareScreen = site.DeskScreen[preparePage]("desk/prepare")

// preparing shows what is left to prepare; a draft has nothing to prepare yet.
func (s *handlers) preparing(c *gin.Context) error {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return err
	}
	if stored.State != panel.Locked && stored.State != panel.Open {
		return site.SeeOther(c, "/studies/"+string(stored.ID))
	}
	list, err := s.sittingList(c, stored)
	if err != nil {
		return err
	}
	page := preparePage{Frame: s.DeskFrame(c, "Prepare", stored.Spec), ID: stored.ID,
		Study: stored.Spec.Title, Sittings: list.Lines, Planned: list.Planned, Local: list.Local,
		Reach: s.BaseURL(c.Request) + reachPath, Opened: stored.State == panel.Open,
		Checkups: s.checkups(c),
		Offline:  withoutNetwork(strings.HasPrefix(s.BaseURL(c.Request), "https://"), list.Local)}
	if page.ReachQR, err = site.NewQR(page.Reach); err != nil {
		return err
	}
	if page.Shopping, err = shoppingFor(site.TongueOf(c), stored.Spec); err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, prepareScreen, page)
}

// checkups looks at what the evening stands on, as “cloche doctor” does.
func (s *handlers) checkups(c *gin.Context) []site.Checkup {
	if s.Options.Checkups == nil {
		return nil
	}
	return s.Options.Checkups(c.Request.Context())
}

// shoppingFor counts the portions of each dish, and the spares. Any spare code may go to any
// dish, so that each dish is kept as many more as its share of the plates, rounded up.
func shoppingFor(w site.Tongue, a *study.Study) (shopping, error) {
	cost, err := analysis.CostOf(a, a.Panel.Assessors)
	if err != nil {
		return shopping{}, err
	}
	l := shopping{Spares: cost.Spares, OnArrival: a.Serving.Minimise || len(a.Serving.Strata) > 0}
	for i, d := range a.Dishes {
		line := shoppingLine{Dish: d.Title, Portion: d.Portion, ServeAt: site.Degrees(d.ServeAt),
			Contains: d.ContentsIn(w.Tag()).WordsIn(w.Translate), Portions: cost.Dishes[i].Portions}
		if cost.Portions > 0 {
			line.Spares = (cost.Spares*line.Portions + cost.Portions - 1) / cost.Portions
		}
		l.Lines = append(l.Lines, line)
	}
	return l, nil
}

// reachPath is the address at which any phone sees whether it reaches the service.
const reachPath = "/reach"

// reachPage is what a phone that reaches the service is told. It says nothing of any study.
type reachPage struct {
	site.Frame
	Secure  bool
	Local   bool
	Address string
	Offline string
}

var reachScreen = site.DeskScreen[reachPage]("desk/reach")

func (s *handlers) reach(c *gin.Context) error {
	base := s.BaseURL(c.Request)
	secure, local := strings.HasPrefix(base, "https://"), site.IsLocal(base)
	return site.Show(s.Site, c, http.StatusOK, reachScreen, reachPage{
		Frame:  site.DoorFrame(c, "This phone reaches Cloche"),
		Secure: secure, Local: local, Address: base, Offline: withoutNetwork(secure, local)})
}
