package server

import (
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// partnerPage is where the lead invites the partner.
type partnerPage struct {
	frame
	Has   bool
	Link  string // a fresh invitation; shown once
	QR    qrCode
	Local bool
}

// invitation is where the partner chooses a password.
type invitation struct {
	frame
	Token           string
	Problems        []problem
	Password, Again field
}

var (
	partnerScreen    = screen[partnerPage]{"partner", desk}
	invitationScreen = screen[invitation]{"invitation", desk}
)

func (s *server) partner(c *gin.Context) error {
	page, err := s.partnerPage(c)
	if err != nil {
		return err
	}
	return show(s, c, http.StatusOK, partnerScreen, page)
}

func (s *server) partnerPage(c *gin.Context) (partnerPage, error) {
	has, err := s.svc.HasPartner(c.Request.Context())
	f := s.deskFrame(c, "Partner", false)
	f.Narrow = true
	return partnerPage{frame: f, Has: has, Local: isLocal(s.base(c.Request))}, err
}

// invitePartner shows the invitation in the answer to the form: only its hash is
// kept, so it cannot be asked for again.
func (s *server) invitePartner(c *gin.Context) error {
	token, err := s.svc.InvitePartner(c.Request.Context(), who(c))
	if err != nil {
		return err
	}
	page, err := s.partnerPage(c)
	if err != nil {
		return err
	}
	page.Link = s.base(c.Request) + "/invitation/" + token
	if page.QR, err = newQR(page.Link); err != nil {
		return err
	}
	return show(s, c, http.StatusOK, partnerScreen, page)
}

func (s *server) endPartner(c *gin.Context) error {
	if err := s.svc.EndPartner(c.Request.Context(), who(c)); err != nil {
		return err
	}
	return seeOther(c, "/partner")
}

func (s *server) invitationPage(c *gin.Context) (invitation, error) {
	token := c.Param("token")
	if len(token) > maxToken {
		return invitation{}, panel.ErrNotFound
	}
	return invitation{
		frame: frame{Title: "Choose a password", Narrow: true}, Token: token,
		Password: field{ID: "password", Label: "Password", Type: "password", Autocomplete: "new-password",
			Hint: fmt.Sprintf("At least %d characters; a few words that only you would put together are best.", panel.MinPassword)},
		Again: field{ID: "again", Label: "The same password again", Type: "password", Autocomplete: "new-password"},
	}, s.svc.Invited(c.Request.Context(), token)
}

func (s *server) invitation(c *gin.Context) error {
	page, err := s.invitationPage(c)
	if err != nil {
		return err
	}
	return show(s, c, http.StatusOK, invitationScreen, page)
}

func (s *server) acceptInvitation(c *gin.Context) error {
	page, err := s.invitationPage(c)
	if err != nil {
		return err
	}
	password := c.Request.PostFormValue("password")
	if password != c.Request.PostFormValue("again") {
		page.Again.Problem = "The two passwords differ. Type both again."
	}
	page.Password.Problem = passwordWords(password)
	if page.Problems = problems(page.Password, page.Again); len(page.Problems) == 0 {
		if err := s.svc.AcceptInvitation(c.Request.Context(), page.Token, password); err != nil {
			return err
		}
		return s.enter(c, panel.RolePartner, password, "/studies")
	}
	return show(s, c, http.StatusUnprocessableEntity, invitationScreen, page)
}
