package room

import (
	"errors"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// blindForm is what is asked before the blind is broken for one serving, by
// kitchen or lead: the code and a reason, nothing else.
type blindForm struct {
	Action, Back, BackWords string
	Code, Seat, Why, More   string
	AskSeat                 bool // several plates carry the code
	Together                bool // another of the staff has to agree
	Reasons                 []string
	Problems                []site.Problem
}

// blindPage and leadBlindPage are the form; openedPage and leadOpenedPage the
// serving whose blind was broken.
type (
	blindPage struct {
		site.StaffFrame
		Form blindForm
	}
	leadBlindPage struct {
		site.Frame
		Form blindForm
	}
	openedPage struct {
		site.StaffFrame
		Revealed        panel.Revealed
		Back, BackWords string
	}
	leadOpenedPage struct {
		site.Frame
		Revealed        panel.Revealed
		Back, BackWords string
	}
)

var (
	blindScreen      = site.StaffScreen[blindPage]("room/blind")
	openedScreen     = site.StaffScreen[openedPage]("room/opened")
	leadBlindScreen  = site.DeskScreen[leadBlindPage]("room/blind_lead")
	leadOpenedScreen = site.DeskScreen[leadOpenedPage]("room/opened_lead")
)

// reasons are offered, so that nobody has to type while somebody is unwell.
var reasons = []string{"A guest feels unwell", "A guest may have eaten what they should not",
	panel.WrongPlate}

func newBlindForm(c *gin.Context, action, back, backWords string) blindForm {
	f := blindForm{Action: action, Back: back, BackWords: backWords, Reasons: reasons}
	value := c.Request.PostFormValue
	f.Code, f.Seat, f.Why, f.More = value("code"), value("seat"), value("why"), value("more")
	if f.Code == "" && len(c.Query("code")) <= 8 {
		f.Code = c.Query("code")
	}
	return f
}

// asked turns the form into what panel asks.
func (f blindForm) asked(sittingID panel.SittingID) panel.BreakBlind {
	seat, _ := strconv.Atoi(strings.TrimSpace(f.Seat)) // no number is no seat: then panel asks
	reason := strings.TrimSpace(f.Why)
	if more := strings.TrimSpace(f.More); more != "" {
		reason = strings.TrimPrefix(reason+": "+more, ": ")
	}
	return panel.BreakBlind{SittingID: sittingID, Code: panel.Code(digits(f.Code)), Seat: seat, Reason: reason}
}

// refuse notes what is wrong with the form; false when the error is no matter of it.
func (f *blindForm) refuse(say site.Tongue, err error) bool {
	switch {
	case errors.Is(err, panel.ErrReason):
		f.Problems = []site.Problem{{Field: "why",
			Text: say.Translate("Choose or write a reason, of at most 500 characters.")}}
	case errors.Is(err, panel.ErrNotFound):
		f.Problems = []site.Problem{{Field: "code", Text: say.Translate("No plate of a guest carries this code. " +
			"Read it again; guests who have not joined have no plate.")}}
	case errors.Is(err, panel.ErrAmbiguous):
		f.AskSeat = true
		f.Problems = []site.Problem{{Field: "seat",
			Text: say.Translate("Several plates carry this code. Write the guest’s number too.")}}
	default:
		return false
	}
	return true
}

func (s *handlers) blindForm(c *gin.Context) error {
	sheet, err := s.Panel.KitchenSheet(c.Request.Context(), site.SessionOf(c))
	if err != nil {
		return err
	}
	if sheet.NotYet {
		return panel.ErrEarly
	}
	if !sheet.Open {
		return panel.ErrNotOpen
	}
	return site.Show(s.Site, c, http.StatusOK, blindScreen, s.blindPage(c, sheet))
}

func (s *handlers) blindPage(c *gin.Context, sheet panel.KitchenSheet) blindPage {
	return blindPage{site.StaffFrameFor(c, site.SessionOf(c).Role, "Show what a plate is (emergency)", sheet.Sitting,
		sheet.Invented),
		newBlindForm(c, "/kitchen/blind", "/kitchen", site.TongueOf(c).Translate("The kitchen’s sheet"))}
}

// breakBlind shows the serving at once, in the answer to the form: an address to
// ask again at would be one more place where the key lies open.
func (s *handlers) breakBlind(c *gin.Context) error {
	sheet, err := s.Panel.KitchenSheet(c.Request.Context(), site.SessionOf(c))
	if err != nil {
		return err
	}
	page := s.blindPage(c, sheet)
	r, err := s.Panel.BreakBlind(c.Request.Context(), site.SessionOf(c), page.Form.asked(""))
	if err == nil {
		return site.Show(s.Site, c, http.StatusOK, openedScreen,
			openedPage{page.StaffFrame, inWords(page.Tongue(), r), page.Form.Back, page.Form.BackWords})
	}
	if !page.Form.refuse(page.Tongue(), err) {
		return err
	}
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, blindScreen, page)
}

// leadBlind returns the lead's page and the sitting that it is about.
func (s *handlers) leadBlind(c *gin.Context) (leadBlindPage, panel.Study, panel.Sitting, error) {
	stored, sitting, err := s.SittingOf(c)
	at := "/studies/" + string(stored.ID)
	return leadBlindPage{s.DeskFrame(c, "Show what a plate is (emergency)", stored.Spec),
		newBlindForm(c, at+"/sittings/"+strconv.Itoa(sitting.Number)+"/blind", at,
			site.TongueOf(c).Translate("The study"))}, stored, sitting, err
}

func (s *handlers) leadBlindForm(c *gin.Context) error {
	page, stored, _, err := s.leadBlind(c)
	if err != nil {
		return err
	}
	if stored.State != panel.Open {
		return panel.ErrWrongState
	}
	return site.Show(s.Site, c, http.StatusOK, leadBlindScreen, page)
}

func (s *handlers) leadBreakBlind(c *gin.Context) error {
	page, _, sitting, err := s.leadBlind(c)
	if err != nil {
		return err
	}
	r, err := s.Panel.BreakBlind(c.Request.Context(), site.SessionOf(c), page.Form.asked(sitting.ID))
	if err == nil {
		return site.Show(s.Site, c, http.StatusOK, leadOpenedScreen,
			leadOpenedPage{page.Frame, inWords(site.TongueOf(c), r), page.Form.Back, page.Form.BackWords})
	}
	if !page.Form.refuse(site.TongueOf(c), err) {
		return err
	}
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, leadBlindScreen, page)
}
