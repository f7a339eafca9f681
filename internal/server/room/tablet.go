package room

import (
	"errors"
	"net/http"
	"net/url"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// handTablet shows floor the code that opens a guest's ballot on the house's tablet.
type handTablet struct {
	site.StaffFrame
	ID      panel.AssessorID
	Guest   string
	Code    panel.TabletCode
	Address string // of the tablet's page
	QR      site.QRCode
	Minutes int
	Lent    bool // a tablet shows the ballot now
}

// tabletPage is the house's tablet when nobody's ballot is on it.
type tabletPage struct {
	site.StaffFrame
	Back     bool // a guest just gave it back
	Was      bool // it showed somebody's ballot: what scripts kept of it goes
	Problems []site.Problem
	Code     site.Field
}

var (
	handTabletScreen = site.StaffScreen[handTablet]("room/hand_tablet")
	tabletScreen     = site.StaffScreen[tabletPage]("room/tablet")
)

func (s *handlers) handTablet(c *gin.Context) error {
	ctx, by := c.Request.Context(), site.SessionOf(c)
	r, err := s.Panel.Room(ctx, by)
	if err != nil {
		return err
	}
	t, err := seatIn(r, site.SeatIn(c))
	if err != nil {
		return err
	}
	code, err := s.Panel.HandTablet(ctx, by, t.ID)
	if err != nil {
		return err
	}
	page := handTablet{StaffFrame: site.StaffFrameFor(c, by.Role, "The house’s tablet", r.Sitting, r.Invented),
		ID: t.ID, Guest: guestWords(site.TongueOf(c), t), Code: code, Lent: t.Lent,
		Minutes: int(panel.HandTabletLasts.Minutes())}
	page.Address = s.BaseURL(c.Request) + site.TabletPath
	if page.QR, err = site.NewQR(page.Address + "?code=" + url.QueryEscape(string(code))); err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, handTabletScreen, page)
}

func (s *handlers) tabletBack(c *gin.Context) error {
	seat := site.SeatIn(c)
	if err := s.Panel.TakeTabletBack(c.Request.Context(), site.SessionOf(c), seat); err != nil {
		return err
	}
	return site.SeeOther(c, "/floor/seats/"+string(seat)+"?told=tablet")
}

// tablet is the page where the house's tablet waits for the next guest. While a guest has it
// the page leads to their ballot.
func (s *handlers) tablet(c *gin.Context) error {
	if held, lent, err := s.LentHere(c); err != nil || lent {
		if err != nil {
			return err
		}
		return site.SeeOther(c, "/t/"+string(held))
	}
	page := s.tabletPage(c)
	page.Code.Value = digits(c.Query("code"))
	page.Back = c.Query("back") != ""
	return site.Show(s.Site, c, http.StatusOK, tabletScreen, page)
}

func (s *handlers) tabletPage(c *gin.Context) tabletPage {
	say := site.TongueOf(c)
	f := site.StaffFrameFor(c, panel.RoleTablet, "The house’s tablet", 0, false)
	return tabletPage{StaffFrame: f, Was: s.IsTablet(c), Code: site.Field{ID: "code",
		Label: say.Translate("Six-digit code"), Type: "text", Mode: "numeric", Autocomplete: "off",
		Hint: say.Translate("The floor’s page of the seat shows it, or the lead’s.")}}
}

// takeTablet opens the ballot that the code is for in the language that its guest reads, in a
// browser that starts afresh: neither the last guest's language nor their text size stays.
func (s *handlers) takeTablet(c *gin.Context) error {
	page := s.tabletPage(c)
	say := page.Tongue()
	token, err := s.Panel.TakeTablet(c.Request.Context(), panel.TabletCode(digits(c.Request.PostFormValue("code"))),
		c.ClientIP(), s.heldHere(c)...)
	status := http.StatusForbidden
	switch {
	case err == nil:
		if held, lent, err := s.LentHere(c); err != nil {
			return err
		} else if lent { // in another tab
			if err := s.Panel.GiveBack(c.Request.Context(), held); err != nil {
				return err
			}
		}
		tag, err := s.Panel.LanguageOf(c.Request.Context(), token)
		if err != nil {
			return err
		}
		s.BecomeTablet(c, token, tag)
		return site.SeeOther(c, "/t/"+string(token))
	case errors.Is(err, panel.ErrCode):
		page.Code.Problem = say.Translate("This is not the code, or it was used or is too old. Have a new one shown " +
			"on the seat’s page. The wait before the next try doubles with every wrong code.")
	case errors.Is(err, panel.ErrOtherRole):
		status = http.StatusConflict
		page.Problems = []site.Problem{{Text: say.Translate("Somebody of the house is signed in on this device: the " +
			"guest would hold those pages in the hand. Sign out here first, or use another device.")}}
	case errors.Is(err, panel.ErrSlowDown):
		status = http.StatusTooManyRequests
		c.Header("Retry-After", "60")
		page.Problems = []site.Problem{{Text: say.Translate("Too soon after a wrong code: this try was not looked " +
			"at. Wait a moment, a minute at most, then try again.")}}
	case errors.Is(err, panel.ErrNotOpen), errors.Is(err, panel.ErrNotFound):
		status = http.StatusConflict
		page.Problems = []site.Problem{{Text: say.Translate("The tasting is over, or the guest’s place was freed.")}}
	default:
		return err
	}
	page.Problems = append(page.Problems, site.Problems(site.TongueOf(c), page.Code)...)
	return site.Show(s.Site, c, status, tabletScreen, page)
}
