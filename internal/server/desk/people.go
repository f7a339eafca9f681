package desk

import (
	"cmp"
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
)

// peoplePath is the page of all users.
const peoplePath = "/people"

// people is who the users are; the owner adds and ends them there.
type people struct {
	site.Frame
	Owner    bool
	Users    []userLine
	Problems []site.Problem
	Name     site.Field
	Roles    []roleChoice
	Link     string // a fresh invitation; shown once
	For      string // whom it is for
	QR       site.QRCode
	Local    bool
	Done     string // what was done just now
}

// userLine is a user on the page of all.
type userLine struct {
	ID         panel.UserID
	Name       string
	Role       string
	Owner, You bool
	MayOwn     bool // the service can be handed over to them
	Rename     site.Field
	In         []userIn
	State      string
	SignedIn   bool
	Roles      []roleChoice
}

// userIn is the role of a user in a study.
type userIn struct {
	Study panel.StudyID
	Title string
	Role  string
}

// roleChoice is a role that a user may be given.
type roleChoice struct {
	Value, Label, Meaning string
	Chosen                bool
}

// invitation is where a user chooses a password.
type invitation struct {
	site.Frame
	Token           panel.InvitationToken
	Name            string
	Role            string
	Problems        []site.Problem
	Password, Again site.Field
}

// studyPeople is who has which role in a study; the owner changes it there.
type studyPeople struct {
	site.Frame
	ID       panel.StudyID
	Study    string
	Users    []userLine // with the role that they have here
	Others   []userLine // who can be given another one
	Roles    []roleChoice
	Problems []site.Problem
	Done     bool
}

var (
	peopleScreen      = site.DeskScreen[people]("desk/people")
	studyPeopleScreen = site.DeskScreen[studyPeople]("desk/study_people")
	invitationScreen  = site.DeskScreen[invitation]("desk/invitation")
)

// roleChoices are the roles that a user may have in all studies.
func roleChoices(w site.Tongue, chosen panel.Role) (all []roleChoice) {
	for _, r := range panel.UserRoles {
		all = append(all, roleChoice{Value: r.String(), Label: w.Translate(roleLabels[r]),
			Meaning: w.Translate(roleMeanings[r]), Chosen: r == chosen})
	}
	return all
}

var roleLabels = map[panel.Role]string{
	panel.RoleLead: "Lead", panel.RolePartner: "Partner", panel.RoleMonitor: "Monitor",
	panel.RoleNamed: "Only in studies that you name",
}

var roleMeanings = map[panel.Role]string{
	panel.RoleLead: "plans, runs and reads studies",
	panel.RolePartner: "reads them, signs the plan, sees planned looks in numbers and downloads the data after the " +
		"close; changes nothing",
	panel.RoleMonitor: "reads plan, progress, log and, after the close, the report; downloads no data and changes " +
		"nothing",
	panel.RoleNamed: "sees no other study",
}

func (s *handlers) people(c *gin.Context) error {
	page, err := s.peoplePage(c)
	if err != nil {
		return err
	}
	page.Done = site.TongueOf(c).Translate(peopleDone[c.Query("done")])
	return site.Show(s.Site, c, http.StatusOK, peopleScreen, page)
}

// peopleDone says what was done, by the word in the address.
var peopleDone = map[string]string{
	"role": "The role is changed. It counts from the next page on.", "out": "They are signed out everywhere.",
	"end":   "The user is removed: nothing lets them in any more. The logs keep the name.",
	"name":  "The name is changed: they sign in with the new one. What the logs say stays.",
	"owner": "The service is handed over. You are a lead as before.",
}

func (s *handlers) peoplePage(c *gin.Context) (people, error) {
	by := site.SessionOf(c)
	f := s.DeskFrame(c, "People", nil)
	f.Narrow = true
	page := people{Frame: f, Owner: site.IsOwner(c), Local: site.IsLocal(s.BaseURL(c.Request)),
		Roles: roleChoices(site.TongueOf(c), panel.RolePartner),
		Name: site.Field{ID: "name", Label: "Name", Type: "text", Autocomplete: "off",
			Hint: "They sign in with it, and the logs say it."}}
	users, err := s.Panel.Users(c.Request.Context(), by)
	if err != nil {
		return page, err
	}
	studies, err := s.Panel.Studies(c.Request.Context())
	for _, u := range users {
		line := lineOf(site.TongueOf(c), u, by)
		line.Rename = site.Field{ID: newName + string(u.ID), Label: "New name", Type: "text", Value: u.Name,
			Autocomplete: "off"}
		for _, x := range studies {
			if r, ok := u.In[x.Series]; ok && x.Version == 1 {
				line.In = append(line.In, userIn{x.ID, summary.Title(site.TongueOf(c), x),
					site.TongueOf(c).Translate(roleLabels[r])})
			}
		}
		page.Users = append(page.Users, line)
	}
	return page, err
}

func lineOf(w site.Tongue, u panel.UserSeen, by panel.Session) userLine {
	line := userLine{ID: u.ID, Name: u.Name, Role: w.Translate(roleLabels[u.Role]), Owner: u.Owner, MayOwn: u.MayOwn(),
		You: u.ID == by.UserID, SignedIn: u.Sessions > 0, Roles: roleChoices(w, u.Role)}
	if u.Role == panel.RoleNamed {
		line.Role = w.Translate("In single studies")
	}
	switch {
	case u.Digest == "" && u.Invited.IsZero():
		line.State = w.Translate("has no password: the invitation has expired")
	case u.Digest == "":
		line.State = w.Translate("invited until %s", w.Moment(u.Invited.Local()))
	case u.Sessions == 0:
		line.State = w.Translate("not signed in")
	case u.Sessions == 1:
		line.State = w.Translate("signed in on one device")
	default:
		line.State = w.Translate("signed in on %d devices", u.Sessions)
	}
	if u.Passkeys > 0 {
		line.State += ", " + w.Translate("passkeys: %d", u.Passkeys)
	}
	return line
}

// addUser adds a user, and shows the invitation in the answer to the form: only its hash
// is kept, so it cannot be asked for again.
func (s *handlers) addUser(c *gin.Context) error {
	name, role := c.Request.PostFormValue("name"), panel.RoleOf(c.Request.PostFormValue("role"))
	u, token, err := s.Panel.AddUser(c.Request.Context(), site.SessionOf(c), name, role)
	problem := ""
	switch {
	case err == nil:
		return s.showInvitation(c, u.Name, token)
	case errors.Is(err, panel.ErrBadValue):
		problem = nameProblem(site.TongueOf(c))
	case errors.Is(err, panel.ErrTaken):
		problem = "Somebody has this name already. Add what tells them apart, such as a family name."
	case errors.Is(err, panel.ErrTooMany):
		problem = site.TongueOf(c).Translate("There are %d users. Remove one first.", panel.MaxUsers)
	default:
		return err
	}
	page, err := s.peoplePage(c)
	if err != nil {
		return err
	}
	page.Name.Value, page.Name.Problem, page.Roles = name, problem, roleChoices(site.TongueOf(c), role)
	page.Problems = site.Problems(site.TongueOf(c), page.Name)
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, peopleScreen, page)
}

func userAt(c *gin.Context) panel.UserID { return panel.UserID(c.Param("user")) }

// inviteUser shows a new invitation of a user.
func (s *handlers) inviteUser(c *gin.Context) error {
	token, err := s.Panel.Invite(c.Request.Context(), site.SessionOf(c), userAt(c))
	if err != nil {
		return err
	}
	u, err := s.Panel.Invited(c.Request.Context(), token)
	if err != nil {
		return err
	}
	return s.showInvitation(c, u.Name, token)
}

func (s *handlers) showInvitation(c *gin.Context, name string, token panel.InvitationToken) error {
	page, err := s.peoplePage(c)
	if err != nil {
		return err
	}
	page.For, page.Link = name, s.BaseURL(c.Request)+"/invitation/"+string(token)
	if page.QR, err = site.NewQR(page.Link); err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, peopleScreen, page)
}

// newName begins the name of the field for a user's new name, which ends with the user's id.
const newName = "name-"

// renameUser gives a user another name.
func (s *handlers) renameUser(c *gin.Context) error {
	id := userAt(c)
	name := c.Request.PostFormValue(newName + string(id))
	err := s.Panel.RenameUser(c.Request.Context(), site.SessionOf(c), id, name)
	problem := ""
	switch {
	case errors.Is(err, panel.ErrBadValue):
		problem = nameProblem(site.TongueOf(c))
	case errors.Is(err, panel.ErrTaken):
		problem = "Somebody has this name already. Add what tells them apart, such as a family name."
	default:
		return s.backToPeople(c, err, "name")
	}
	page, err := s.peoplePage(c)
	if err != nil {
		return err
	}
	for i := range page.Users {
		if x := &page.Users[i]; x.ID == id {
			x.Rename.Value, x.Rename.Problem = name, problem
			page.Problems = site.Problems(site.TongueOf(c), x.Rename)
		}
	}
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, peopleScreen, page)
}

// handOver is where the owner hands the service over to another lead.
type handOver struct {
	site.Frame
	ID       panel.UserID
	Name     string
	Problems []site.Problem
	Password site.Field
}

var handOverScreen = site.DeskScreen[handOver]("desk/hand_over")

func (s *handlers) handOverPage(c *gin.Context) (handOver, error) {
	f := s.DeskFrame(c, "Hand over this service", nil)
	f.Narrow = true
	users, err := s.Panel.Users(c.Request.Context(), site.SessionOf(c))
	for _, u := range users {
		if u.ID == userAt(c) && u.MayOwn() {
			return handOver{Frame: f, ID: u.ID, Name: u.Name, Password: site.Field{ID: "current",
				Label: "Your password now", Type: "password", Autocomplete: "current-password"}}, nil
		}
	}
	return handOver{}, cmp.Or(err, panel.ErrNotFound)
}

func (s *handlers) handOverForm(c *gin.Context) error {
	page, err := s.handOverPage(c)
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, handOverScreen, page)
}

func (s *handlers) handOver(c *gin.Context) error {
	page, err := s.handOverPage(c)
	if err != nil {
		return err
	}
	err = s.Panel.HandOverService(c.Request.Context(), site.SessionOf(c), page.ID, c.Request.PostFormValue("current"),
		c.ClientIP())
	switch {
	case errors.Is(err, panel.ErrPassword):
		page.Password.Problem = notYourPassword
	case errors.Is(err, panel.ErrSlowDown):
		page.Password.Problem = tooSoon
	default:
		return s.backToPeople(c, err, "owner")
	}
	page.Problems = site.Problems(site.TongueOf(c), page.Password)
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, handOverScreen, page)
}

func (s *handlers) setUserRole(c *gin.Context) error {
	err := s.Panel.SetRole(c.Request.Context(), site.SessionOf(c), userAt(c), "",
		panel.RoleOf(c.Request.PostFormValue("role")))
	return s.backToPeople(c, err, "role")
}

func (s *handlers) signOutUser(c *gin.Context) error {
	return s.backToPeople(c, s.Panel.SignOutUser(c.Request.Context(), site.SessionOf(c), userAt(c)), "out")
}

func (s *handlers) endUser(c *gin.Context) error {
	return s.backToPeople(c, s.Panel.EndUser(c.Request.Context(), site.SessionOf(c), userAt(c)), "end")
}

func (s *handlers) backToPeople(c *gin.Context, err error, done string) error {
	if err != nil {
		return err
	}
	return site.SeeOther(c, peoplePath+"?done="+done)
}

func (s *handlers) studyPeople(c *gin.Context) error {
	page, err := s.studyPeoplePage(c)
	if err != nil {
		return err
	}
	page.Done = c.Query("done") != ""
	return site.Show(s.Site, c, http.StatusOK, studyPeopleScreen, page)
}

func (s *handlers) studyPeoplePage(c *gin.Context) (studyPeople, error) {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return studyPeople{}, err
	}
	f := s.DeskFrame(c, "Who has which role", stored.Spec)
	f.Narrow = true
	page := studyPeople{Frame: f, ID: stored.ID, Study: summary.Title(site.TongueOf(c), stored)}
	w := site.TongueOf(c)
	for _, r := range []panel.Role{panel.RoleLead, panel.RolePartner, panel.RoleMonitor} {
		page.Roles = append(page.Roles, roleChoice{Value: r.String(), Label: w.Translate(roleLabels[r]),
			Meaning: w.Translate(roleMeanings[r])})
	}
	page.Roles = append(page.Roles, roleChoice{Value: panel.RoleNamed.String(), Label: w.Translate("None of " +
		"their own here"),
		Meaning: w.Translate("as in all studies")})
	users, err := s.Panel.Users(c.Request.Context(), site.SessionOf(c))
	for _, u := range users {
		line := lineOf(w, u, site.SessionOf(c))
		r, own := u.In[stored.Series]
		switch {
		case own:
			line.Role = w.Translate(roleLabels[r]) + ", " + w.Translate("here")
		case u.Role == panel.RoleNamed:
			line.Role = ""
		default:
			line.Role += ", " + w.Translate("as in all studies")
		}
		if line.Role != "" {
			page.Users = append(page.Users, line)
		}
		if !line.Owner {
			page.Others = append(page.Others, line)
		}
	}
	return page, err
}

func (s *handlers) setStudyRole(c *gin.Context) error {
	id := site.StudyIn(c)
	err := s.Panel.SetRole(c.Request.Context(), site.SessionOf(c), panel.UserID(c.Request.PostFormValue("user")), id,
		panel.RoleOf(c.Request.PostFormValue("role")))
	if !errors.Is(err, panel.ErrBadValue) {
		if err != nil {
			return err
		}
		return site.SeeOther(c, "/studies/"+string(id)+"/people?done=1")
	}
	page, err := s.studyPeoplePage(c)
	if err != nil {
		return err
	}
	page.Problems = []site.Problem{{Field: "role-lead", Text: "Choose a role."}}
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, studyPeopleScreen, page)
}

func (s *handlers) invitationPage(c *gin.Context) (invitation, error) {
	token := panel.InvitationToken(c.Param("token"))
	if len(token) > site.MaxToken {
		return invitation{}, panel.ErrNotFound
	}
	u, err := s.Panel.Invited(c.Request.Context(), token)
	role := roleMeanings[u.Role]
	if u.Role == panel.RoleNamed {
		role = "sees the studies in which the owner gives them a role"
	}
	return invitation{
		Frame: site.DoorFrame(c, "Choose a password"), Token: token, Name: u.Name,
		Role:     site.TongueOf(c).Translate(role),
		Password: newPassword(site.TongueOf(c), "password", "Password"), Again: passwordAgain("The same " +
			"password again"),
	}, err
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
	judgePassword(c, &page.Password, &page.Again)
	if page.Problems = site.Problems(site.TongueOf(c), page.Password, page.Again); len(page.Problems) == 0 {
		if err := s.Panel.AcceptInvitation(c.Request.Context(), page.Token, password); err != nil {
			return err
		}
		return s.enter(c, page.Name, password, "/studies")
	}
	return site.Show(s.Site, c, http.StatusUnprocessableEntity, invitationScreen, page)
}
