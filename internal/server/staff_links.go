package server

import (
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// staffLinks is how kitchen and floor join a sitting, for the lead to show.
type staffLinks struct {
	frame
	ID      string
	Sitting int
	Links   []staffLink
	Open    bool
	NotYet  bool // the sitting is prepared
}

// staffLinkPage is the page that one role is shown. It has no field for the study's
// title, which says what is asked, and none for the other role's link.
type staffLinkPage struct {
	frame
	ID      string
	Sitting int
	Link    staffLink
	Local   bool // the link leads to this computer alone
}

// staffLink is one role's link with the code that is valid now.
type staffLink struct {
	Role, Heading, Does string
	Link, Code          string
	QR                  qrCode
	Joined              int
}

var (
	staffLinksScreen = screen[staffLinks]{"staff_links", desk}
	staffLinkScreen  = screen[staffLinkPage]{"staff_link", desk}
)

// sittingOf finds the sitting that an address names.
func (s *server) sittingOf(c *gin.Context) (panel.Study, panel.Sitting, error) {
	kept, err := s.svc.Study(c.Request.Context(), c.Param("id"))
	if err != nil {
		return panel.Study{}, panel.Sitting{}, err
	}
	sittings, err := s.svc.Sittings(c.Request.Context(), kept.ID)
	if err != nil {
		return panel.Study{}, panel.Sitting{}, err
	}
	for _, x := range sittings {
		if strconv.Itoa(x.Number) == c.Param("number") {
			return kept, x, nil
		}
	}
	return panel.Study{}, panel.Sitting{}, panel.ErrNotFound
}

func (s *server) staffLinks(c *gin.Context) error {
	kept, sitting, links, err := s.linksAt(c)
	if err != nil {
		return err
	}
	return show(s, c, http.StatusOK, staffLinksScreen, staffLinks{
		frame: s.deskFrame(c, "Kitchen and floor", kept.Asked.Invented), ID: kept.ID,
		Sitting: sitting.Number, Links: links,
		Open: kept.State == panel.Open, NotYet: kept.State < panel.Closed && sitting.OpenedAt.IsZero(),
	})
}

// staffLink shows one role's link alone: whoever is shown it learns nothing of the
// study, and nothing of the other role's.
func (s *server) staffLink(c *gin.Context) error {
	kept, sitting, links, err := s.linksAt(c)
	if err != nil {
		return err
	}
	for _, x := range links {
		if x.Role == c.Param("role") {
			return show(s, c, http.StatusOK, staffLinkScreen, staffLinkPage{
				frame: s.deskFrame(c, x.Heading, kept.Asked.Invented), ID: kept.ID,
				Sitting: sitting.Number, Link: x, Local: isLocal(s.base(c.Request)),
			})
		}
	}
	return panel.ErrNotFound
}

// linksAt are the links of the sitting that an address names.
func (s *server) linksAt(c *gin.Context) (kept panel.Study, sitting panel.Sitting, links []staffLink, err error) {
	if kept, sitting, err = s.sittingOf(c); err != nil {
		return kept, sitting, nil, err
	}
	access, err := s.svc.StaffAccess(c.Request.Context(), who(c), sitting.ID)
	if err != nil {
		return kept, sitting, nil, err
	}
	base := s.base(c.Request)
	for _, a := range access {
		link := staffLink{Role: a.Role.String(), Heading: roomTitle(a.Role), Does: "Sees which code goes to which seat, and the name to say. Never the dish.",
			Link: base + "/staff/" + a.Link, Code: a.Code, Joined: a.Joined}
		if a.Role == panel.RoleKitchen {
			link.Does = "Sees the dish behind each code while it plates. Never the name that it is served under."
		}
		if link.QR, err = newQR(link.Link); err != nil {
			return kept, sitting, nil, err
		}
		links = append(links, link)
	}
	return kept, sitting, links, nil
}

// renewAccess gives a role a new link and code; who joined with the old ones joins again.
func (s *server) renewAccess(c *gin.Context) error {
	kept, sitting, err := s.sittingOf(c)
	if err != nil {
		return err
	}
	r := panel.RoleOf(c.Request.PostFormValue("role"))
	if _, err := s.svc.RenewAccess(c.Request.Context(), who(c), sitting.ID, r); err != nil {
		return err
	}
	return seeOther(c, "/studies/"+kept.ID+"/sittings/"+strconv.Itoa(sitting.Number)+"/staff/"+r.String())
}

// deskFrame is the frame of a page that lead and partner share.
func (s *server) deskFrame(c *gin.Context, title string, invented bool) frame {
	f := leadFrame(title, invented)
	f.Reader = who(c).Role == panel.RolePartner
	return f
}

func itoa(n int) string { return strconv.Itoa(n) }
