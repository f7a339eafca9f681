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
	ID, Study string
	Sitting   int
	Links     []staffLink
	Local     bool // the links lead to this computer alone
	Open      bool
}

// staffLink is one role's link with the code that is valid now.
type staffLink struct {
	Role, Heading, Does string
	Link, Code          string
	QR                  qrCode
	Joined              int
}

var staffLinksScreen = screen[staffLinks]{"staff_links", desk}

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
	kept, sitting, err := s.sittingOf(c)
	if err != nil {
		return err
	}
	access, err := s.svc.StaffAccess(c.Request.Context(), who(c), sitting.ID)
	if err != nil {
		return err
	}
	base := s.base(c.Request)
	page := staffLinks{
		frame: s.deskFrame(c, "Kitchen and floor", kept.Asked.Invented), ID: kept.ID, Study: kept.Asked.Title,
		Sitting: sitting.Number, Local: isLocal(base), Open: kept.State == panel.Open,
	}
	for _, a := range access {
		link := staffLink{Role: a.Role.String(), Heading: roomTitle(a.Role), Does: "Sees which code goes to which seat, and the name to say. Never the dish.",
			Link: base + "/staff/" + a.Link, Code: a.Code, Joined: a.Joined}
		if a.Role == panel.RoleKitchen {
			link.Does = "Sees the dish behind each code while it plates. Never the name that it is served under."
		}
		if link.QR, err = newQR(link.Link); err != nil {
			return err
		}
		page.Links = append(page.Links, link)
	}
	return show(s, c, http.StatusOK, staffLinksScreen, page)
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
	return seeOther(c, "/studies/"+kept.ID+"/sittings/"+strconv.Itoa(sitting.Number)+"/staff")
}

// deskFrame is the frame of a page that lead and partner share.
func (s *server) deskFrame(c *gin.Context, title string, invented bool) frame {
	f := leadFrame(title, invented)
	f.Reader = who(c).Role == panel.RolePartner
	return f
}

func itoa(n int) string { return strconv.Itoa(n) }
