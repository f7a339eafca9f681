package desk

import (
	"crypto/subtle"
	"errors"
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// home is the front page, for guests who came without a link and for users.
type home struct {
	site.Frame
	SetUp bool // the lead's password is set
}

// setup asks for the name and the password of the first user, who owns the service.
type setup struct {
	site.Frame
	Ready                       bool // there is a set-up code to ask for
	Problems                    []site.Problem
	Code, Name, Password, Again site.Field
}

// signIn asks who somebody is, and for their password.
type signIn struct {
	site.Frame
	To       string     // page to go on to
	Name     site.Field // "" for the owner
	Several  bool       // there are users beside the owner
	Problems []site.Problem
	Password site.Field
	Passkey  string  // what a passkey is asked; "" = there is none to ask
	Again    *unsent // the form that came after the session had ended; nil when there was none
}

var (
	homeScreen   = site.PhoneScreen[home]("desk/home")
	setupScreen  = site.DeskScreen[setup]("desk/setup")
	signInScreen = site.DeskScreen[signIn]("desk/sign_in")
)

func (s *handlers) home(c *gin.Context) error {
	has, err := s.Panel.HasPassword(c.Request.Context())
	if err != nil {
		return err
	}
	in, err := s.SignedIn(c)
	if err != nil {
		return err
	}
	frame := site.DoorFrame(c, "Cloche")
	frame.SignedIn = in
	return site.Show(s.Site, c, http.StatusOK, homeScreen,
		home{Frame: frame, SetUp: has})
}

func (s *handlers) setupForm(c *gin.Context) error {
	has, err := s.Panel.HasPassword(c.Request.Context())
	if err != nil {
		return err
	}
	if has {
		return site.SeeOther(c, "/sign-in")
	}
	return site.Show(s.Site, c, http.StatusOK, setupScreen, s.setupPage(c, "", ""))
}

func (s *handlers) setupPage(c *gin.Context, code, name string) setup {
	return setup{
		Frame: site.DoorFrame(c, "Set the password"),
		Ready: s.Options.SetupCode != "",
		Code: site.Field{ID: "code", Label: "Set-up code", Type: "text", Value: code, Autocomplete: "off",
			Hint: "It stands on the terminal where the service was started."},
		Name: site.Field{ID: "name", Label: "Your name", Type: "text", Value: name, Autocomplete: "username",
			Hint: "The log and the other users see it. You sign in with it once there are others."},
		Password: newPassword(site.TongueOf(c), "password", "Password"), Again: passwordAgain("The same " +
			"password again"),
	}
}

func (s *handlers) setup(c *gin.Context) error {
	code := strings.ToLower(strings.TrimSpace(c.Request.PostFormValue("code")))
	password := c.Request.PostFormValue("password")
	name := c.Request.PostFormValue("name")
	page := s.setupPage(c, code, name)
	if !page.Ready {
		return site.Show(s.Site, c, http.StatusForbidden, setupScreen, page)
	}
	if subtle.ConstantTimeCompare([]byte(code), []byte(strings.ToLower(s.Options.SetupCode))) != 1 {
		page.Code.Problem = "This is not the code on the terminal. Copy it letter by letter."
	}
	judgePassword(c, &page.Password, &page.Again)
	page.Problems = site.Problems(site.TongueOf(c), page.Code, page.Password, page.Again)
	if len(page.Problems) == 0 {
		err := s.Panel.SetPassword(c.Request.Context(), name, password)
		switch {
		case err == nil:
			return s.enter(c, "", password, "/studies")
		case errors.Is(err, panel.ErrBadValue):
			page.Name.Problem = nameProblem(site.TongueOf(c))
			page.Problems = site.Problems(site.TongueOf(c), page.Name)
		case errors.Is(err, panel.ErrPasswordSet):
			return site.SeeOther(c, "/sign-in")
		default:
			return err
		}
	}
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, setupScreen, page)
}

// newPassword is where somebody types a password that is to be theirs; [passwordAgain] follows it.
func newPassword(w site.Tongue, id, label string) site.Field {
	return site.Field{ID: id, Label: label, Type: "password", Autocomplete: "new-password",
		Hint: w.Translate("At least %d characters; a few words that only you would put together are best.",
			panel.MinPassword)}
}

func passwordAgain(label string) site.Field {
	return site.Field{ID: "again", Label: label, Type: "password", Autocomplete: "new-password"}
}

// judgePassword says everything that is wrong with a new password that was sent, and whether it
// was typed alike twice.
func judgePassword(c *gin.Context, first, again *site.Field) {
	password := c.Request.PostFormValue(first.ID)
	for _, wrong := range panel.PasswordProblems(password) {
		first.Problem = strings.TrimSpace(first.Problem + " " + site.TongueOf(c).Tell(wrong))
	}
	if password != c.Request.PostFormValue(again.ID) {
		again.Problem = "The two passwords differ. Type both again."
	}
}

// nameProblem says what is wrong with the name of a user.
func nameProblem(w site.Tongue) string {
	return w.Translate("Write a name of at most %d characters.", panel.MaxUserName)
}

// enter signs a user in, the owner when name is "", and goes on to a page.
func (s *handlers) enter(c *gin.Context, name, password, to string) error {
	if err := s.beginSession(c, name, password); err != nil {
		return err
	}
	return site.SeeOther(c, to)
}

// beginSession signs a user in, the owner when name is "".
func (s *handlers) beginSession(c *gin.Context, name, password string) error {
	token, err := s.Panel.SignInAs(c.Request.Context(), name, password, c.ClientIP())
	if err != nil {
		return err
	}
	s.SetCookie(c, s.LeadCookie(), string(token), "/", site.SessionCookie)
	return nil
}

func (s *handlers) signInForm(c *gin.Context) error {
	has, err := s.Panel.HasPassword(c.Request.Context())
	if err != nil {
		return err
	}
	if !has {
		return site.SeeOther(c, "/setup")
	}
	in, err := s.SignedIn(c)
	if err != nil {
		return err
	}
	if in {
		return site.SeeOther(c, onward(c.Query("to")))
	}
	page, err := s.signInPage(c, c.Query("to"))
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, signInScreen, page)
}

func (s *handlers) signInPage(c *gin.Context, to string) (signIn, error) {
	page := signIn{
		Frame: site.DoorFrame(c, "Sign in"), To: onward(to),
		Name: site.Field{ID: "name", Label: "Your name", Type: "text", Autocomplete: "username",
			Value: c.Request.PostFormValue("name")},
		Password: site.Field{ID: "password", Label: "Your password", Type: "password",
			Autocomplete: "current-password"},
	}
	var err error
	if page.Several, err = s.Panel.HasOthers(c.Request.Context()); err != nil {
		return signIn{}, err
	}
	if page.Passkey, err = s.passkeyToSignIn(c); err != nil {
		return signIn{}, err
	}
	return page, nil
}

func (s *handlers) signIn(c *gin.Context) error {
	page, err := s.signInPage(c, c.Request.PostFormValue("to"))
	if err != nil {
		return err
	}
	page.Again = unsentIn(c.Request)
	name := ""
	if page.Several {
		if name = strings.TrimSpace(page.Name.Value); name == "" || len(name) > maxQuery {
			page.Name.Problem = "Type the name that you were added with."
			page.Problems = site.Problems(site.TongueOf(c), page.Name)
			return site.Show(s.Site, c, http.StatusUnprocessableEntity, signInScreen, page)
		}
	}
	err = s.beginSession(c, name, c.Request.PostFormValue("password"))
	status := http.StatusForbidden
	switch {
	case err == nil:
		return s.goOn(c, page)
	case errors.Is(err, panel.ErrPassword):
		page.Password.Problem = notThePassword(page.Several)
	case errors.Is(err, panel.ErrSlowDown):
		status = http.StatusTooManyRequests
		c.Header("Retry-After", "60")
		page.Problems = []site.Problem{{Text: "Too soon after a wrong password: this try was not looked at. Wait a " +
			"moment, a minute at most, then try again."}}
	case errors.Is(err, panel.ErrNotFound): // no password is set yet
		return site.SeeOther(c, "/setup")
	default:
		return err
	}
	page.Problems = append(page.Problems, site.Problems(site.TongueOf(c), page.Password)...)
	return site.Show(s.Site, c, status, signInScreen, page)
}

// notThePassword says that a password is wrong, and of whom where there are several names.
func notThePassword(several bool) string {
	if several {
		return "This is not the password of somebody with that name. The wait before the next try doubles with every " +
			"wrong one: a second after the first, a minute at most."
	}
	return "This is not the password. The wait before the next try doubles with every wrong one: a second after the " +
		"first, a minute at most."
}

func (s *handlers) signOut(c *gin.Context) error {
	cookie, err := c.Request.Cookie(s.LeadCookie())
	if err != nil {
		return site.SeeOther(c, "/")
	}
	if err := s.Panel.SignOut(c.Request.Context(), cookie.Value); err != nil {
		return err
	}
	s.SetCookie(c, s.LeadCookie(), "", "/", -1)
	return site.SeeOther(c, "/")
}

// signInPath is where to sign in, and then to go on to the page asked for.
func signInPath(r *http.Request) string {
	if r.Method != http.MethodGet || r.URL.Path == "/studies" {
		return "/sign-in"
	}
	return "/sign-in?to=" + url.QueryEscape(r.URL.RequestURI())
}

// onward returns the page to go to after signing in: a page of the desk and nothing
// else.
func onward(to string) string {
	local := strings.HasPrefix(to, "/studies/") || strings.HasPrefix(to, peoplePath) ||
		strings.HasPrefix(to, "/password") || to == logPath
	if local && !strings.ContainsAny(to, "\\\r\n") {
		return to
	}
	return "/studies"
}
