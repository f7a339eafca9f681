package desk

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/study"
	"cloche/internal/words"
)

// Addresses that more than the table of routes speaks of.
const (
	passwordPath  = "/password"
	elsewherePath = "/password/elsewhere" // where one is signed in too
	tonguePath    = "/password/language"
)

// changePassword asks for a new password and for the one that it replaces.
type changePassword struct {
	site.Frame
	Done                 bool
	Tongues              []tongueChoice
	Spoken               bool     // the language was set just now
	Elsewhere            []string // when the other sessions began
	OutElsewhere         bool     // they were ended just now
	Passkeys             passkeys
	Problems             []site.Problem
	Current, Next, Again site.Field
	Address              string // that phones are sent to
	Backups              string // folder; "" = none are made by themselves
	BackupKeep           int
	ForgetAfter          int // days after the close of a study; 0 = never
	DeleteAfter          int // likewise
	DropVerdicts         bool
}

var passwordScreen = site.DeskScreen[changePassword]("desk/password")

func (s *handlers) passwordPage(c *gin.Context) (changePassword, error) {
	elsewhere, err := s.Panel.SignedInElsewhere(c.Request.Context(), s.deskToken(c))
	title, reader := "Settings", site.SessionOf(c).Role != panel.RoleLead
	if reader {
		title = "Change your password"
	}
	f := s.DeskFrame(c, title, nil)
	f.Narrow = true
	page := changePassword{Frame: f, Tongues: tonguesOf(c), Spoken: c.Query("spoken") != "",
		Done: c.Query("done") != "", Address: s.BaseURL(c.Request), Backups: s.Options.Backups,
		BackupKeep:  s.Options.BackupKeep,
		ForgetAfter: s.Options.ForgetAfter, DeleteAfter: s.Options.DeleteAfter,
		DropVerdicts: s.Options.DropVerdicts,
		Current: site.Field{ID: "current", Label: "Your password now", Type: "password",
			Autocomplete: "current-password"},
		Next: newPassword(site.TongueOf(c), "next", "New password"), Again: passwordAgain("The new password again"),
		OutElsewhere: c.Query("out") != "",
	}
	for _, began := range elsewhere {
		page.Elsewhere = append(page.Elsewhere, site.TongueOf(c).Moment(began.Local()))
	}
	if err != nil {
		return page, err
	}
	page.Passkeys, err = s.passkeysShown(c)
	return page, err
}

// deskToken is what the browser is signed in to the desk with; "" when it is not.
func (s *handlers) deskToken(c *gin.Context) panel.SessionToken {
	cookie, err := c.Request.Cookie(s.LeadCookie())
	if err != nil {
		return ""
	}
	return panel.SessionToken(cookie.Value)
}

func (s *handlers) passwordForm(c *gin.Context) error {
	page, err := s.passwordPage(c)
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, passwordScreen, page)
}

// What is wrong where a user's own password is asked for once more.
const (
	notYourPassword = "This is not your password. Type it again; after a wrong one the next try has to wait a moment."
	tooSoon         = "Too soon after a wrong password: nothing was changed. Wait a minute, then try again."
)

func (s *handlers) changePassword(c *gin.Context) error {
	value := c.Request.PostFormValue
	page, err := s.passwordPage(c)
	if err != nil {
		return err
	}
	judgePassword(c, &page.Next, &page.Again)
	if page.Again.Problem != "" || page.Next.Problem != "" {
		return s.showPassword(c, page)
	}
	err = s.Panel.ChangePassword(c.Request.Context(), s.deskToken(c), value("current"), value("next"), c.ClientIP())
	switch {
	case err == nil:
		return site.SeeOther(c, passwordPath+"?done=1")
	case errors.Is(err, panel.ErrPassword):
		page.Current.Problem = notYourPassword
	case errors.Is(err, panel.ErrSlowDown):
		page.Current.Problem = tooSoon
	default:
		return err
	}
	return s.showPassword(c, page)
}

func (s *handlers) showPassword(c *gin.Context, page changePassword) error {
	page.Problems = site.Problems(site.TongueOf(c), page.Current, page.Next, page.Again)
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, passwordScreen, page)
}

func (s *handlers) signOutElsewhere(c *gin.Context) error {
	if err := s.Panel.SignOutElsewhere(c.Request.Context(), s.deskToken(c)); err != nil {
		return err
	}
	return site.SeeOther(c, passwordPath+"?out=1")
}

// tongueChoice is a language in which a user may read pages.
type tongueChoice struct {
	Tag, Name string // "" = as the browser asks
	Chosen    bool
}

func tonguesOf(c *gin.Context) (all []tongueChoice) {
	own := site.SessionOf(c).Language
	for _, tag := range append([]string{""}, study.Spoken...) {
		x := tongueChoice{Tag: tag, Name: words.Name(tag), Chosen: tag == own}
		if tag == "" {
			x.Name = site.TongueOf(c).Translate("As this browser asks")
		}
		all = append(all, x)
	}
	return all
}

// setTongue keeps in which language a user reads pages, and on the device for the page on which
// they sign in.
func (s *handlers) setTongue(c *gin.Context) error {
	tag := c.Request.PostFormValue("language")
	if err := s.Panel.SetLanguage(c.Request.Context(), s.deskToken(c), tag); err != nil {
		return err
	}
	s.SpeakHere(c, tag)
	return site.SeeOther(c, passwordPath+"?spoken=1#language")
}
