package server

import (
	"crypto/subtle"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// home is the front page, for guests who came without a link and for the lead.
type home struct {
	frame
	SetUp bool // the lead's password is set
}

// setup asks for the lead's first password.
type setup struct {
	frame
	Ready                 bool // there is a set-up code to ask for
	Problems              []problem
	Code, Password, Again field
}

// signIn asks for the lead's password.
type signIn struct {
	frame
	To       string // page to go on to
	Partner  bool   // there is a partner to sign in as
	As       string // "lead" or "partner"
	Problems []problem
	Password field
	Again    *unsent // the form that came after the session had ended; nil when there was none
}

// field is one input of a form.
type field struct {
	ID, Label, Hint, Type, Value, Autocomplete string
	Mode                                       string // inputmode: which keys a phone shows; "" = all
	Problem                                    string
}

// DescribedBy lists the ids of the texts that go with the input.
func (f field) DescribedBy() string {
	var ids []string
	if f.Hint != "" {
		ids = append(ids, f.ID+"-hint")
	}
	if f.Problem != "" {
		ids = append(ids, f.ID+"-wrong")
	}
	return strings.Join(ids, " ")
}

// problem is a line of the summary above a form.
type problem struct{ Field, Text string }

var (
	homeScreen   = screen[home]{"home", phone}
	setupScreen  = screen[setup]{"setup", desk}
	signInScreen = screen[signIn]{"sign_in", desk}
)

// sessionCookie is how long the browser keeps the lead's cookie, in seconds: longer
// than the session, so that a form that comes after its end is known for what it is
// and not lost.
const sessionCookie = 30 * 24 * 60 * 60

func (s *server) healthy(c *gin.Context) error {
	if _, err := s.svc.HasPassword(c.Request.Context()); err != nil {
		return err
	}
	c.String(http.StatusOK, "ok\n")
	return nil
}

func (s *server) home(c *gin.Context) error {
	has, err := s.svc.HasPassword(c.Request.Context())
	if err != nil {
		return err
	}
	in, err := s.signedIn(c)
	if err != nil {
		return err
	}
	return show(s, c, http.StatusOK, homeScreen, home{frame: frame{Title: "Cloche", SignedIn: in}, SetUp: has})
}

func (s *server) setupForm(c *gin.Context) error {
	has, err := s.svc.HasPassword(c.Request.Context())
	if err != nil {
		return err
	}
	if has {
		return seeOther(c, "/sign-in")
	}
	return show(s, c, http.StatusOK, setupScreen, s.setupPage(""))
}

func (s *server) setupPage(code string) setup {
	return setup{
		frame: frame{Title: "Set the password", Narrow: true},
		Ready: s.o.SetupCode != "",
		Code: field{ID: "code", Label: "Set-up code", Type: "text", Value: code, Autocomplete: "off",
			Hint: "It stands on the terminal where the service was started."},
		Password: field{ID: "password", Label: "Password", Type: "password", Autocomplete: "new-password",
			Hint: fmt.Sprintf("At least %d characters; a few words that only you would put together are best.", panel.MinPassword)},
		Again: field{ID: "again", Label: "The same password again", Type: "password", Autocomplete: "new-password"},
	}
}

func (s *server) setup(c *gin.Context) error {
	code := strings.ToLower(strings.TrimSpace(c.Request.PostFormValue("code")))
	password := c.Request.PostFormValue("password")
	page := s.setupPage(code)
	if !page.Ready {
		return show(s, c, http.StatusForbidden, setupScreen, page)
	}
	if subtle.ConstantTimeCompare([]byte(code), []byte(strings.ToLower(s.o.SetupCode))) != 1 {
		page.Code.Problem = "This is not the code on the terminal. Copy it letter by letter."
	}
	if password != c.Request.PostFormValue("again") {
		page.Again.Problem = "The two passwords differ. Type both again."
	}
	page.Password.Problem = passwordWords(password)
	page.Problems = problems(page.Code, page.Password, page.Again)
	if len(page.Problems) == 0 {
		err := s.svc.SetPassword(c.Request.Context(), password)
		switch {
		case err == nil:
			return s.enter(c, panel.RoleLead, password, "/studies")
		case errors.Is(err, panel.ErrPasswordSet):
			return seeOther(c, "/sign-in")
		default:
			return err
		}
	}
	return show(s, c, http.StatusUnprocessableEntity, setupScreen, page)
}

// passwordWords says everything that is wrong with a new password; "" when nothing is.
func passwordWords(password string) string {
	return strings.Join(panel.PasswordProblems(password), " ")
}

// problems lists what is wrong with fields.
func problems(fields ...field) []problem {
	var list []problem
	for _, f := range fields {
		if f.Problem != "" {
			list = append(list, problem{f.ID, f.Label + ": " + f.Problem})
		}
	}
	return list
}

// enter signs lead or partner in and goes on to a page.
func (s *server) enter(c *gin.Context, r panel.Role, password, to string) error {
	if err := s.beginSession(c, r, password); err != nil {
		return err
	}
	return seeOther(c, to)
}

// beginSession signs lead or partner in.
func (s *server) beginSession(c *gin.Context, r panel.Role, password string) error {
	token, err := s.svc.SignInAs(c.Request.Context(), r, password, c.ClientIP())
	if err != nil {
		return err
	}
	s.setCookie(c, s.leadCookie(), token, "/", sessionCookie)
	return nil
}

func (s *server) signInForm(c *gin.Context) error {
	has, err := s.svc.HasPassword(c.Request.Context())
	if err != nil {
		return err
	}
	if !has {
		return seeOther(c, "/setup")
	}
	in, err := s.signedIn(c)
	if err != nil {
		return err
	}
	if in {
		return seeOther(c, onward(c.Query("to")))
	}
	page, err := s.signInPage(c, c.Query("to"))
	if err != nil {
		return err
	}
	return show(s, c, http.StatusOK, signInScreen, page)
}

func (s *server) signInPage(c *gin.Context, to string) (signIn, error) {
	page := signIn{
		frame: frame{Title: "Sign in", Narrow: true}, To: onward(to), As: panel.RoleLead.String(),
		Password: field{ID: "password", Label: "The lead’s password", Type: "password", Autocomplete: "current-password"},
	}
	var err error
	if page.Partner, err = s.svc.HasPartner(c.Request.Context()); err != nil {
		return signIn{}, err
	}
	if page.Partner {
		page.Password.Label = "Your password"
	}
	if panel.RoleOf(c.Request.PostFormValue("as")) == panel.RolePartner {
		page.As = panel.RolePartner.String()
	}
	return page, nil
}

func (s *server) signIn(c *gin.Context) error {
	page, err := s.signInPage(c, c.Request.PostFormValue("to"))
	if err != nil {
		return err
	}
	page.Again = unsentIn(c.Request)
	err = s.beginSession(c, panel.RoleOf(page.As), c.Request.PostFormValue("password"))
	status := http.StatusForbidden
	switch {
	case err == nil:
		return goOn(s, c, page)
	case errors.Is(err, panel.ErrPassword):
		page.Password.Problem = "This is not the password. The wait before the next try doubles with every wrong one: a second after the first, a minute at most."
	case errors.Is(err, panel.ErrSlowDown):
		status = http.StatusTooManyRequests
		c.Header("Retry-After", "60")
		page.Problems = []problem{{Text: "Too soon after a wrong password: this try was not looked at. Wait a moment, a minute at most, then try again."}}
	case errors.Is(err, panel.ErrNotFound): // no password is set yet
		return seeOther(c, "/setup")
	default:
		return err
	}
	page.Problems = append(page.Problems, problems(page.Password)...)
	return show(s, c, status, signInScreen, page)
}

func (s *server) signOut(c *gin.Context) error {
	cookie, err := c.Request.Cookie(s.leadCookie())
	if err != nil {
		return seeOther(c, "/")
	}
	if err := s.svc.SignOut(c.Request.Context(), cookie.Value); err != nil {
		return err
	}
	s.setCookie(c, s.leadCookie(), "", "/", -1)
	return seeOther(c, "/")
}
