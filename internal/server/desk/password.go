package desk

import (
	"errors"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// Addresses that more than the table of routes speaks of.
const (
	passwordPath = "/password"
)

// changePassword asks for a new password and for the one that it replaces.
type changePassword struct {
	site.Frame
	Done                 bool
	Problems             []site.Problem
	Current, Next, Again site.Field
	Address              string // that phones are sent to
	Backups              string // "" = none are made by themselves
}

var passwordScreen = site.DeskScreen[changePassword]("desk/password")

func (s *handlers) passwordPage(c *gin.Context) changePassword {
	return changePassword{
		Frame: site.Frame{Title: "Change your password", Narrow: true, SignedIn: true,
			Reader: site.SessionOf(c).Role == panel.RolePartner},
		Done: c.Query("done") != "", Address: s.BaseURL(c.Request), Backups: s.Options.Backups,
		Current: site.Field{ID: "current", Label: "Your password now", Type: "password",
			Autocomplete: "current-password"},
		Next: site.Field{ID: "next", Label: "New password", Type: "password", Autocomplete: "new-password",
			Hint: fmt.Sprintf("At least %d characters; a few words that only you would put together are best.",
				panel.MinPassword)},
		Again: site.Field{ID: "again", Label: "The new password again", Type: "password", Autocomplete: "new-password"},
	}
}

func (s *handlers) passwordForm(c *gin.Context) error {
	return site.Show(s.Site, c, http.StatusOK, passwordScreen, s.passwordPage(c))
}

func (s *handlers) changePassword(c *gin.Context) error {
	page, value := s.passwordPage(c), c.Request.PostFormValue
	cookie, err := c.Request.Cookie(s.LeadCookie())
	if err != nil {
		return site.ErrSignIn
	}
	if value("next") != value("again") {
		page.Again.Problem = "The two passwords differ. Type both again."
	}
	page.Next.Problem = passwordWords(value("next"))
	if page.Again.Problem != "" || page.Next.Problem != "" {
		return s.showPassword(c, page)
	}
	err = s.Panel.ChangePassword(c.Request.Context(), panel.SessionToken(cookie.Value), value("current"),
		value("next"), c.ClientIP())
	switch {
	case err == nil:
		return site.SeeOther(c, passwordPath+"?done=1")
	case errors.Is(err, panel.ErrPassword):
		page.Current.Problem = "This is not your password. Type it again; after a wrong one the next try has to " +
			"wait a moment."
	case errors.Is(err, panel.ErrSlowDown):
		page.Current.Problem = "Too soon after a wrong password: nothing was changed. Wait a minute, then try again."
	default:
		return err
	}
	return s.showPassword(c, page)
}

func (s *handlers) showPassword(c *gin.Context, page changePassword) error {
	page.Problems = site.Problems(page.Current, page.Next, page.Again)
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, passwordScreen, page)
}
