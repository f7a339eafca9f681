package room

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// joinStaff asks for the code of a link.
type joinStaff struct {
	site.StaffFrame
	Link     panel.StaffToken // token
	Stand    panel.Stand
	May      bool // join now
	Problems []site.Problem
	Code     site.Field
}

// staffNotice is a notice to kitchen or floor.
var (
	joinStaffScreen = site.StaffScreen[joinStaff]("room/join_staff")
)

func (s *handlers) staffWelcome(c *gin.Context) error {
	page, _, err := s.joinStaffPage(c)
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, joinStaffScreen, page)
}

func (s *handlers) joinStaffPage(c *gin.Context) (joinStaff, panel.StaffWelcome, error) {
	link := panel.StaffToken(c.Param("token"))
	if len(link) > site.MaxToken {
		return joinStaff{}, panel.StaffWelcome{}, panel.ErrNotFound
	}
	w, err := s.Panel.StaffWelcome(c.Request.Context(), link)
	if err != nil {
		return joinStaff{}, w, err
	}
	say := site.TongueOf(c)
	return joinStaff{
		StaffFrame: site.StaffFrameFor(c, w.Role, site.RoomTitle(w.Role), w.Sitting, false),
		Link:       link, Stand: w.Stand, May: w.MayJoin(),
		Code: site.Field{ID: "code", Label: say.Translate("Six-digit code"), Type: "text", Mode: "numeric",
			Autocomplete: "one-time-code", Hint: say.Translate("The lead’s page shows it.")},
	}, w, nil
}

// NotYet and Replaced tell apart why nobody can join.
func (p joinStaff) NotYet() bool   { return p.Stand == panel.StandNotYet }
func (p joinStaff) Replaced() bool { return p.Stand == panel.StandReplaced }

// joinStaff lets somebody of the staff in.
func (s *handlers) joinStaff(c *gin.Context) error {
	page, w, err := s.joinStaffPage(c)
	if err != nil {
		return err
	}
	say := page.Tongue()
	token, session, err := s.Panel.JoinStaff(c.Request.Context(), page.Link,
		panel.StaffCode(digits(c.Request.PostFormValue("code"))),
		c.ClientIP(), s.heldHere(c)...)
	status := http.StatusForbidden
	switch {
	case err == nil:
		s.SetCookie(c, s.StaffCookie(session.Role), string(token), "/", site.SessionCookie)
		return site.SeeOther(c, "/"+w.Role.String())
	case errors.Is(err, panel.ErrCode):
		page.Code.Problem = say.Translate("This is not the code. Look at the lead’s page again. The wait before the " +
			"next try doubles with every wrong code.")
	case errors.Is(err, panel.ErrOtherRole):
		status = http.StatusConflict
		page.Problems = []site.Problem{{Text: otherRole(say, w.Role, s.lentHere(c))}}
	case errors.Is(err, panel.ErrSlowDown):
		status = http.StatusTooManyRequests
		c.Header("Retry-After", "60")
		page.Problems = []site.Problem{{Text: say.Translate("Too soon after a wrong code: this try was not looked " +
			"at. Wait a moment, a minute at most, then try again.")}}
	case errors.Is(err, panel.ErrNotOpen):
		status, page.May = http.StatusConflict, false
	default:
		return err
	}
	page.Problems = append(page.Problems, site.Problems(site.TongueOf(c), page.Code)...)
	return site.Show(s.Site, c, status, joinStaffScreen, page)
}

// heldHere returns the sessions that a device holds, that of a tablet among them.
func (s *handlers) heldHere(c *gin.Context) (all []panel.Session) {
	names := append(s.CookiesOf(site.AtDesk|site.InRoom), s.StaffCookie(panel.RoleTablet))
	for _, name := range names {
		if by, err := s.SessionIn(c, name); err == nil {
			all = append(all, by)
		}
	}
	return all
}

// otherRole says why a device that is kitchen does not join as floor, and the reverse; and why a
// tablet that was lent joins as neither.
func otherRole(say site.Tongue, wished panel.Role, lent bool) string {
	if lent {
		return say.Translate("This device is the house’s tablet, and a guest’s ballot is on it. Have it given back " +
			"first, or use another device.")
	}
	if wished == panel.RoleFloor {
		return say.Translate("This device is signed in as kitchen. The kitchen sees the dish behind a code, the " +
			"floor sees the name: who sees both knows the key. " +
			"Use another device, or sign out on the kitchen’s page first. This try is in the log.")
	}
	return say.Translate("This device is signed in as floor. The kitchen sees the dish behind a code, the floor " +
		"sees the name: who sees both knows the key. " +
		"Use another device, or sign out on the floor’s page first. This try is in the log.")
}

func (s *handlers) lentHere(c *gin.Context) bool {
	_, lent, err := s.LentHere(c)
	return err == nil && lent
}

// digits leaves out the spaces that people type into a code.
func digits(text string) string {
	var b []byte
	for i := range len(text) {
		if text[i] != ' ' && len(b) < site.MaxToken {
			b = append(b, text[i])
		}
	}
	return string(b)
}

// leaveStaff signs kitchen or floor out on this device.
func (s *handlers) leaveStaff(c *gin.Context) error {
	name := s.StaffCookie(site.SessionOf(c).Role)
	cookie, err := c.Request.Cookie(name)
	if err != nil {
		return site.SeeOther(c, "/")
	}
	if err := s.Panel.SignOut(c.Request.Context(), cookie.Value); err != nil {
		return err
	}
	s.SetCookie(c, name, "", "/", -1)
	return site.SeeOther(c, "/")
}
