package server

import (
	"errors"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// Addresses that more than the table of routes speaks of.
const (
	signInRoute  = "/sign-in"
	passwordPath = "/password"
)

// changePassword asks for a new password and for the one that it replaces.
type changePassword struct {
	frame
	Done                 bool
	Problems             []problem
	Current, Next, Again field
}

var passwordScreen = screen[changePassword]{"password", desk}

func (s *server) passwordPage(c *gin.Context) changePassword {
	return changePassword{
		frame:   frame{Title: "Change your password", Narrow: true, SignedIn: true, Reader: who(c).Role == panel.RolePartner},
		Done:    c.Query("done") != "",
		Current: field{ID: "current", Label: "Your password now", Type: "password", Autocomplete: "current-password"},
		Next: field{ID: "next", Label: "New password", Type: "password", Autocomplete: "new-password",
			Hint: fmt.Sprintf("At least %d characters; a few words that only you would put together are best.", panel.MinPassword)},
		Again: field{ID: "again", Label: "The new password again", Type: "password", Autocomplete: "new-password"},
	}
}

func (s *server) passwordForm(c *gin.Context) error {
	return show(s, c, http.StatusOK, passwordScreen, s.passwordPage(c))
}

func (s *server) changePassword(c *gin.Context) error {
	page, value := s.passwordPage(c), c.Request.PostFormValue
	cookie, err := c.Request.Cookie(s.leadCookie())
	if err != nil {
		return errSignIn
	}
	if value("next") != value("again") {
		page.Again.Problem = "The two passwords differ. Type both again."
	}
	page.Next.Problem = passwordWords(value("next"))
	if page.Again.Problem != "" || page.Next.Problem != "" {
		return s.showPassword(c, page)
	}
	err = s.svc.ChangePassword(c.Request.Context(), cookie.Value, value("current"), value("next"), c.ClientIP())
	switch {
	case err == nil:
		return seeOther(c, passwordPath+"?done=1")
	case errors.Is(err, panel.ErrPassword):
		page.Current.Problem = "This is not your password. Type it again; after a wrong one the next try has to wait a moment."
	case errors.Is(err, panel.ErrSlowDown):
		page.Current.Problem = "Too soon after a wrong password: nothing was changed. Wait a minute, then try again."
	default:
		return err
	}
	return s.showPassword(c, page)
}

func (s *server) showPassword(c *gin.Context, page changePassword) error {
	page.Problems = problems(page.Current, page.Next, page.Again)
	return show(s, c, http.StatusUnprocessableEntity, passwordScreen, page)
}
