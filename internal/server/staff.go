package server

import (
	"errors"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// staffFrame is the frame of a page of kitchen or floor: like an assessor's, it
// says nothing of the study.
type staffFrame struct {
	frame
	Role    string // "kitchen" or "floor"; "" before joining
	Sitting int    // from 1; 0 before joining
}

// joinStaff asks for the code of a link.
type joinStaff struct {
	staffFrame
	Link     string // token
	Stand    panel.Stand
	May      bool // join now
	Problems []problem
	Code     field
}

// staffNotice is a notice to kitchen or floor.
var (
	joinStaffScreen   = screen[joinStaff]{"join_staff", staff}
	staffNoticeScreen = screen[notice]{"staff_notice", staff}
)

func framedFor(by panel.Session, title string, sitting int, invented bool) staffFrame {
	return staffFrame{frame: frame{Title: title, Invented: invented}, Role: by.Role.String(), Sitting: sitting}
}

// roomTitle heads the pages of kitchen and floor.
func roomTitle(r panel.Role) string {
	if r == panel.RoleKitchen {
		return "Kitchen"
	}
	return "Floor"
}

func (s *server) staffWelcome(c *gin.Context) error {
	page, _, err := s.joinStaffPage(c)
	if err != nil {
		return err
	}
	return show(s, c, http.StatusOK, joinStaffScreen, page)
}

func (s *server) joinStaffPage(c *gin.Context) (joinStaff, panel.StaffWelcome, error) {
	link := c.Param("token")
	if len(link) > maxToken {
		return joinStaff{}, panel.StaffWelcome{}, panel.ErrNotFound
	}
	w, err := s.svc.StaffWelcome(c.Request.Context(), link)
	if err != nil {
		return joinStaff{}, w, err
	}
	return joinStaff{
		staffFrame: staffFrame{frame: frame{Title: roomTitle(w.Role)}, Role: w.Role.String(), Sitting: w.Sitting},
		Link:       link, Stand: w.Stand, May: w.MayJoin(),
		Code: field{ID: "code", Label: "Code of six digits", Type: "text", Mode: "numeric", Autocomplete: "one-time-code", Hint: "The lead’s page shows it."},
	}, w, nil
}

// NotYet and Replaced tell apart why nobody can join.
func (p joinStaff) NotYet() bool   { return p.Stand == panel.StandNotYet }
func (p joinStaff) Replaced() bool { return p.Stand == panel.StandReplaced }

// joinStaff lets somebody of the staff in.
func (s *server) joinStaff(c *gin.Context) error {
	page, w, err := s.joinStaffPage(c)
	if err != nil {
		return err
	}
	token, session, err := s.svc.JoinStaff(c.Request.Context(), page.Link, digits(c.Request.PostFormValue("code")), c.ClientIP(), s.heldHere(c)...)
	status := http.StatusForbidden
	switch {
	case err == nil:
		s.setCookie(c, s.staffCookie(session.Role), token, "/", sessionCookie)
		return seeOther(c, "/"+w.Role.String())
	case errors.Is(err, panel.ErrCode):
		page.Code.Problem = "This is not the code. Look at the lead’s page again. The wait before the next try doubles with every wrong code."
	case errors.Is(err, panel.ErrOtherRole):
		status = http.StatusConflict
		page.Problems = []problem{{Text: otherRole(w.Role)}}
	case errors.Is(err, panel.ErrSlowDown):
		status = http.StatusTooManyRequests
		c.Header("Retry-After", "60")
		page.Problems = []problem{{Text: "Too soon after a wrong code: this try was not looked at. Wait a moment, a minute at most, then try again."}}
	case errors.Is(err, panel.ErrNotOpen):
		status, page.May = http.StatusConflict, false
	default:
		return err
	}
	page.Problems = append(page.Problems, problems(page.Code)...)
	return show(s, c, status, joinStaffScreen, page)
}

// heldHere returns the sessions that a device holds.
func (s *server) heldHere(c *gin.Context) (all []panel.Session) {
	for _, name := range s.cookiesOf(atDesk | inRoom) {
		if by, err := s.sessionIn(c, name); err == nil {
			all = append(all, by)
		}
	}
	return all
}

// otherRole says why a device that is kitchen does not join as floor, and the reverse.
func otherRole(wished panel.Role) string {
	held := panel.RoleKitchen
	if wished == panel.RoleKitchen {
		held = panel.RoleFloor
	}
	return fmt.Sprintf("This device is signed in as %s. The kitchen sees the dish behind a code, the floor sees the name: who sees both knows the key. "+
		"Use another device, or sign out on the %s’s page first. This try is in the log.", held, held)
}

// digits leaves out the spaces that people type into a code.
func digits(text string) string {
	var b []byte
	for i := range len(text) {
		if text[i] != ' ' && len(b) < maxToken {
			b = append(b, text[i])
		}
	}
	return string(b)
}

// leaveStaff signs kitchen or floor out on this device.
func (s *server) leaveStaff(c *gin.Context) error {
	name := s.staffCookie(who(c).Role)
	cookie, err := c.Request.Cookie(name)
	if err != nil {
		return seeOther(c, "/")
	}
	if err := s.svc.SignOut(c.Request.Context(), cookie.Value); err != nil {
		return err
	}
	s.setCookie(c, name, "", "/", -1)
	return seeOther(c, "/")
}

// staffNotices are the errors that kitchen and floor meet, with status and page.
// They say nothing of the study.
var staffNotices = []struct {
	err    error
	status int
	page   notice
}{
	{errSignIn, http.StatusForbidden, notice{Heading: "Join first", Text: []string{"Scan the code on the lead’s page, and type the six digits beside it. If you had joined: the lead has made a new one, or the evening is over."}}},
	{panel.ErrNotFound, http.StatusNotFound, notice{Heading: "That is not here now", Text: []string{"The seat or plate has moved on, perhaps from another phone. Go back and look again."}}},
	{panel.ErrOtherCode, http.StatusConflict, notice{Heading: "That is not the code of the plate now", Text: []string{"Nothing was changed. If another phone noted it as dropped, it has a new code: go back and look again."}}},
	{panel.ErrNotYet, http.StatusConflict, notice{Heading: "Not its turn yet", Text: []string{"The answers to an earlier serving of this seat have not arrived. The guest’s phone may be without network, or the scores are still to be entered."}}},
	{panel.ErrMoot, http.StatusConflict, notice{Heading: "That is over already", Text: []string{"The seat has moved on. Nothing was changed."}}},
	{panel.ErrWithdrawn, http.StatusConflict, notice{Heading: "The guest took the answers out", Text: []string{"Nothing more is noted for this seat."}}},
	{panel.ErrRated, http.StatusConflict, notice{Heading: "This serving has its answers already", Text: []string{"Nothing was changed. Go back and look again."}}},
	{panel.ErrTasted, http.StatusConflict, notice{Heading: "This guest has tasted", Text: []string{"The place stays taken. If the guest has left, note that instead."}}},
	{panel.ErrEarly, http.StatusConflict, notice{Heading: "The tasting is not open yet", Text: []string{"Nothing was changed. This works when the lead has opened the sitting."}}},
	{panel.ErrNotOpen, http.StatusConflict, notice{Heading: "The tasting is over", Text: []string{"The lead has closed it. Nothing can be changed any more."}}},
	{panel.ErrFull, http.StatusConflict, notice{Heading: "Every place is taken", Text: []string{"This tasting has no place left."}}},
	{panel.ErrNoSpare, http.StatusConflict, notice{Heading: "No spare code is left", Text: []string{"Ask the kitchen to plate it anew under the old code."}}},
	{panel.ErrBadValue, http.StatusUnprocessableEntity, notice{Heading: "That value cannot be", Text: []string{"Go back and look at what was typed."}}},
}

// explainsToStaff reports whether [explainToStaff] knows an error.
func explainsToStaff(err error) bool {
	status, _ := explainToStaff(err)
	return status != 0
}

// explainToStaff maps an error that kitchen and floor meet to status and page; 0
// for those that everybody meets.
func explainToStaff(err error) (int, notice) {
	for _, n := range staffNotices {
		if errors.Is(err, n.err) {
			return n.status, n.page
		}
	}
	return 0, notice{}
}
