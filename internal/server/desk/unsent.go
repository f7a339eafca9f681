package desk

import (
	"net/http"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/server/site"
)

// unsent is a form of the desk that came after the session had ended. Its values ride
// along while somebody signs in, and are then sent again.
type unsent struct {
	Values  []unsentValue
	HasFile bool // it held a file, which a browser sends once only
}

type unsentValue struct{ Name, Value string }

// unsentName begins the names of an unsent form's values on the sign-in page, so that
// none of them is taken for a field of that page.
const unsentName = "again."

// AskToSignIn answers a request for a page of the desk that nobody is signed in for. A
// form that comes from somebody who was signed in is kept on the page that asks for
// the password.
func AskToSignIn(shared *site.Site, c *gin.Context, r site.Role) {
	s := &handlers{Site: shared}
	_, err := c.Request.Cookie(s.LeadCookie())
	if err != nil || c.Request.Method != http.MethodPost || c.Request.URL.Path == passwordPath {
		c.Redirect(http.StatusSeeOther, signInPath(c.Request))
		return
	}
	if err := site.ReadForm(c, r); err != nil {
		s.Fail(c, r, err)
		return
	}
	page, err := s.signInPage(c, c.Request.URL.RequestURI())
	if err == nil {
		page.Name.Value, page.Again = "", unsentOf(c.Request) // a field of that form may be called so
		err = site.Show(s.Site, c, http.StatusForbidden, signInScreen, page)
	}
	if err != nil {
		s.Fail(c, r, err)
	}
}

// unsentOf is the form of a request, as it will be sent again.
func unsentOf(r *http.Request) *unsent {
	u := &unsent{}
	for name, values := range r.PostForm {
		for _, v := range values {
			u.Values = append(u.Values, unsentValue{unsentName + name, v})
		}
	}
	if r.MultipartForm != nil {
		u.HasFile = len(r.MultipartForm.File) > 0
	}
	u.sort()
	return u
}

// unsentIn is the unsent form that a sign-in carries; nil when there is none.
func unsentIn(r *http.Request) *unsent {
	u := &unsent{}
	for name, values := range r.PostForm {
		if !strings.HasPrefix(name, unsentName) {
			continue
		}
		for _, v := range values {
			u.Values = append(u.Values, unsentValue{name, v})
		}
	}
	if len(u.Values) == 0 {
		return nil
	}
	u.sort()
	return u
}

// sort orders the values by name; those of one name keep their order, which a form's
// meaning rests on.
func (u *unsent) sort() {
	slices.SortStableFunc(u.Values, func(a, b unsentValue) int { return strings.Compare(a.Name, b.Name) })
}

// resent is a page that sends a kept form again.
type resent struct {
	site.Frame
	To     string
	Values []unsentValue
}

var resentScreen = site.DeskScreen[resent]("desk/resent")

// goOn goes on after somebody signed in: to the page asked for, or to one that sends
// the form that came too late.
func (s *handlers) goOn(c *gin.Context, page signIn) error {
	if page.Again == nil {
		return site.SeeOther(c, page.To)
	}
	again := resent{Frame: site.DoorFrame(c, "You are signed in"), To: page.To}
	again.SignedIn, again.Reader = true, true
	for _, v := range page.Again.Values {
		again.Values = append(again.Values, unsentValue{strings.TrimPrefix(v.Name, unsentName), v.Value})
	}
	return site.Show(s.Site, c, http.StatusOK, resentScreen, again)
}
