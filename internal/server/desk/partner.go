package desk

import (
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// partnerPage is where the lead invites the partner.
type partnerPage struct {
	site.Frame
	Has   bool
	Link  string // a fresh invitation; shown once
	QR    site.QRCode
	Local bool
}

// invitation is where the partner chooses a password.
type invitation struct {
	site.Frame
	Token           panel.InvitationToken
	Problems        []site.Problem
	Password, Again site.Field
}

var (
	partnerScreen    = site.DeskScreen[partnerPage]("desk/partner")
	invitationScreen = site.DeskScreen[invitation]("desk/invitation")
)

func (s *handlers) partner(c *gin.Context) error {
	page, err := s.partnerPage(c)
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, partnerScreen, page)
}

func (s *handlers) partnerPage(c *gin.Context) (partnerPage, error) {
	has, err := s.Panel.HasPartner(c.Request.Context())
	f := s.DeskFrame(c, "Partner", false)
	f.Narrow = true
	return partnerPage{Frame: f, Has: has, Local: site.IsLocal(s.BaseURL(c.Request))}, err
}

// invitePartner shows the invitation in the answer to the form: only its hash is
// kept, so it cannot be asked for again.
func (s *handlers) invitePartner(c *gin.Context) error {
	token, err := s.Panel.InvitePartner(c.Request.Context(), site.SessionOf(c))
	if err != nil {
		return err
	}
	page, err := s.partnerPage(c)
	if err != nil {
		return err
	}
	page.Link = s.BaseURL(c.Request) + "/invitation/" + string(token)
	if page.QR, err = site.NewQR(page.Link); err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, partnerScreen, page)
}

func (s *handlers) endPartner(c *gin.Context) error {
	if err := s.Panel.EndPartner(c.Request.Context(), site.SessionOf(c)); err != nil {
		return err
	}
	return site.SeeOther(c, "/partner")
}

func (s *handlers) invitationPage(c *gin.Context) (invitation, error) {
	token := panel.InvitationToken(c.Param("token"))
	if len(token) > site.MaxToken {
		return invitation{}, panel.ErrNotFound
	}
	return invitation{
		Frame: site.Frame{Title: "Choose a password", Narrow: true}, Token: token,
		Password: site.Field{ID: "password", Label: "Password", Type: "password", Autocomplete: "new-password",
			Hint: fmt.Sprintf("At least %d characters; a few words that only you would put together are best.",
				panel.MinPassword)},
		Again: site.Field{ID: "again", Label: "The same password again", Type: "password",
			Autocomplete: "new-password"},
	}, s.Panel.Invited(c.Request.Context(), token)
}

func (s *handlers) invitation(c *gin.Context) error {
	page, err := s.invitationPage(c)
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, invitationScreen, page)
}

func (s *handlers) acceptInvitation(c *gin.Context) error {
	page, err := s.invitationPage(c)
	if err != nil {
		return err
	}
	password := c.Request.PostFormValue("password")
	if password != c.Request.PostFormValue("again") {
		page.Again.Problem = "The two passwords differ. Type both again."
	}
	page.Password.Problem = passwordWords(password)
	if page.Problems = site.Problems(page.Password, page.Again); len(page.Problems) == 0 {
		if err := s.Panel.AcceptInvitation(c.Request.Context(), page.Token, password); err != nil {
			return err
		}
		return s.enter(c, panel.RolePartner, password, "/studies")
	}
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, invitationScreen, page)
}
