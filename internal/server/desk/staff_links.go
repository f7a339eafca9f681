package desk

import (
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// staffLinks is how kitchen and floor join a sitting, for the lead to show.
type staffLinks struct {
	site.Frame
	ID      panel.StudyID
	Sitting int
	Links   []staffLink
	Open    bool
	NotYet  bool // the sitting is prepared
}

// staffLinkPage is the page that one role is shown. It has no field for the study's
// title, which says what is asked, and none for the other role's link.
type staffLinkPage struct {
	site.Frame
	ID      panel.StudyID
	Sitting int
	Link    staffLink
	Local   bool // the link leads to this computer alone
}

// staffLink is one role's link with the code that is valid now.
type staffLink struct {
	Role, Heading, Does string
	Link                string
	Code                panel.StaffCode
	QR                  site.QRCode
	Joined              int
}

var (
	staffLinksScreen = site.DeskScreen[staffLinks]("desk/staff_links")
	staffLinkScreen  = site.DeskScreen[staffLinkPage]("desk/staff_link")
)

func (s *handlers) staffLinks(c *gin.Context) error {
	stored, sitting, links, err := s.linksAt(c)
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, staffLinksScreen, staffLinks{
		Frame: s.DeskFrame(c, "Kitchen and floor", stored.Spec), ID: stored.ID,
		Sitting: sitting.Number, Links: links,
		Open: stored.State == panel.Open, NotYet: stored.State < panel.Closed && sitting.OpenedAt.IsZero(),
	})
}

// staffLink shows one role's link alone: whoever is shown it learns nothing of the
// study, and nothing of the other role's.
func (s *handlers) staffLink(c *gin.Context) error {
	stored, sitting, links, err := s.linksAt(c)
	if err != nil {
		return err
	}
	for _, x := range links {
		if x.Role == c.Param("role") {
			return site.Show(s.Site, c, http.StatusOK, staffLinkScreen, staffLinkPage{
				Frame: s.DeskFrame(c, x.Heading, stored.Spec), ID: stored.ID,
				Sitting: sitting.Number, Link: x, Local: site.IsLocal(s.BaseURL(c.Request)),
			})
		}
	}
	return panel.ErrNotFound
}

// linksAt are the links of the sitting that an address names.
func (s *handlers) linksAt(c *gin.Context) (stored panel.Study, sitting panel.Sitting, links []staffLink, err error) {
	if stored, sitting, err = s.SittingOf(c); err != nil {
		return stored, sitting, nil, err
	}
	access, err := s.Panel.StaffAccess(c.Request.Context(), site.SessionOf(c), sitting.ID)
	if err != nil {
		return stored, sitting, nil, err
	}
	base := s.BaseURL(c.Request)
	for _, a := range access {
		link := staffLink{Role: a.Role.String(), Heading: site.TongueOf(c).Translate(site.RoomTitle(a.Role)),
			Does: "Sees which code goes to which seat, and the name to say. Never the dish.",
			Link: base + "/staff/" + string(a.Link), Code: a.Code, Joined: a.Joined}
		if a.Role == panel.RoleKitchen {
			link.Does = "Sees the dish behind each code while it plates. Never the name that it is served under."
		}
		if link.QR, err = site.NewQR(link.Link); err != nil {
			return stored, sitting, nil, err
		}
		links = append(links, link)
	}
	return stored, sitting, links, nil
}

// renewAccess gives a role a new link and code; who joined with the old ones joins again.
func (s *handlers) renewAccess(c *gin.Context) error {
	stored, sitting, err := s.SittingOf(c)
	if err != nil {
		return err
	}
	r := panel.RoleOf(c.Request.PostFormValue("role"))
	if _, err := s.Panel.RenewAccess(c.Request.Context(), site.SessionOf(c), sitting.ID, r); err != nil {
		return err
	}
	return site.SeeOther(c,
		"/studies/"+string(stored.ID)+"/sittings/"+strconv.Itoa(sitting.Number)+"/staff/"+r.String())
}
