package panel_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

// byOwner is the session of whoever set the service up.
var byOwner = panel.Session{Role: panel.RoleLead, UserID: panel.FirstUserID, Owner: true}

func TestUserIsInvitedOnce(t *testing.T) {
	svc, c := newService(t)
	n := &night{t: t, svc: svc, clock: c, lead: byOwner}
	ctx := t.Context()
	n.wantError("before anybody set it up", last(svc.SignIn(ctx, "a long pass phrase", "desk")), panel.ErrNotFound)
	n.must(svc.SetPassword(ctx, "Ines", "the owner's pass phrase"))
	n.wantError("set up twice", svc.SetPassword(ctx, "Iris", "another pass phrase"), panel.ErrPasswordSet)
	n.wantError("sign in before", last(svc.SignInAs(ctx, "Ada", "a long pass phrase", "desk")), panel.ErrPassword)
	c.pass(time.Minute)
	ada, lost, err := svc.AddUser(ctx, n.lead, " Ada  Ö ", panel.RolePartner)
	n.must(err)
	n.wantError("without a password", last(svc.SignInAs(ctx, "Ada Ö", "", "desk")), panel.ErrPassword)
	c.pass(time.Minute)
	invited := of[panel.InvitationToken](n)(svc.Invite(ctx, n.lead, ada.ID))
	n.wantError("an invitation that was replaced", last(svc.Invited(ctx, lost)), panel.ErrNotFound)
	n.wantError("invited", last(svc.Invited(ctx, invited)), nil)
	n.wantError("a weak password", svc.AcceptInvitation(ctx, invited, "short"), panel.ErrWeak)
	n.must(svc.AcceptInvitation(ctx, invited, "a long pass phrase"))
	n.wantError("a second time", svc.AcceptInvitation(ctx, invited, "another pass phrase"), panel.ErrNotFound)

	token := of[panel.SessionToken](n)(svc.SignInAs(ctx, "ADA ö", "a long pass phrase", "desk"))
	if s := of[panel.Session](n)(svc.Session(ctx, token)); s.Role != panel.RolePartner || s.Who() != "partner Ada Ö" {
		t.Errorf("session %+v, want the partner's", s)
	}
	if in, err := svc.SignedIn(ctx, token); in || err != nil {
		t.Errorf("the partner counts as lead: %v, %v", in, err)
	}
	n.wantError("the owner's password", last(svc.SignInAs(ctx, "Ada Ö", "the owner's pass phrase", "desk")),
		panel.ErrPassword)
	c.pass(time.Minute)
	n.must(svc.SignOutUser(ctx, n.lead, ada.ID))
	n.wantError("signed out by the owner", last(svc.Session(ctx, token)), panel.ErrNotFound)
	token = of[panel.SessionToken](n)(svc.SignInAs(ctx, "Ada Ö", "a long pass phrase", "desk"))
	again := of[panel.InvitationToken](n)(svc.Invite(ctx, n.lead, ada.ID))
	n.must(svc.AcceptInvitation(ctx, again, "yet another phrase"))
	n.wantError("session under the old password", last(svc.Session(ctx, token)), panel.ErrNotFound)
	token = of[panel.SessionToken](n)(svc.SignInAs(ctx, "Ada Ö", "yet another phrase", "desk"))
	n.must(svc.EndUser(ctx, n.lead, ada.ID))
	n.wantError("session of a user that ended", last(svc.Session(ctx, token)), panel.ErrNotFound)
	n.wantError("password of a user that ended", last(svc.SignInAs(ctx, "Ada Ö", "yet another phrase", "desk")),
		panel.ErrPassword)

	_, late, err := svc.AddUser(ctx, n.lead, "Ada Ö", panel.RolePartner)
	n.must(err)
	c.pass(panel.InvitationLength)
	n.wantError("an invitation that expired", svc.AcceptInvitation(ctx, late, "a long pass phrase"), panel.ErrNotFound)
	var who []string
	for _, e := range of[panel.CheckedLog](n)(svc.Log(ctx, n.lead, "")).Entries {
		if e.What == "wrong password" {
			who = append(who, e.Who)
		}
	}
	if want := []string{"somebody", "partner Ada Ö", "partner Ada Ö", "somebody"}; !slices.Equal(who, want) {
		t.Errorf("wrong passwords are logged of %q, want %q", who, want)
	}
}

func TestUsersThatCannotBe(t *testing.T) {
	svc, c := newService(t)
	n := &night{t: t, svc: svc, clock: c, lead: byOwner}
	ctx := t.Context()
	n.must(svc.SetPassword(ctx, "Ines", "the owner's pass phrase"))
	add := func(name string, r panel.Role) error {
		_, _, err := svc.AddUser(ctx, n.lead, name, r)
		return err
	}
	for _, tc := range []struct {
		what, name string
		role       panel.Role
		want       error
	}{
		{"no name", "  ", panel.RoleLead, panel.ErrBadValue},
		{"a long name", strings.Repeat("é", panel.MaxUserName+1), panel.RoleLead, panel.ErrBadValue},
		{"the longest name", strings.Repeat("é", panel.MaxUserName), panel.RoleLead, nil},
		{"a name that is not text", "A\xff", panel.RoleLead, panel.ErrBadValue},
		{"a name with a sign that is not seen", "A\u202eb", panel.RoleLead, panel.ErrBadValue},
		{"the owner's name", "INES", panel.RoleLead, panel.ErrTaken},
		{"the same in wide letters", "Ｉｎｅｓ", panel.RoleLead, panel.ErrTaken},
		{"a role of the room", "Ben", panel.RoleKitchen, panel.ErrBadValue},
		{"no role", "Ben", panel.RoleNobody, panel.ErrBadValue},
	} {
		n.wantError(tc.what, add(tc.name, tc.role), tc.want)
	}
	n.wantError("the owner ended", svc.EndUser(ctx, n.lead, panel.FirstUserID), panel.ErrRefused)
	n.wantError("the owner invited", last(svc.Invite(ctx, n.lead, panel.FirstUserID)), panel.ErrRefused)
	n.wantError("the owner made partner", svc.SetRole(ctx, n.lead, panel.FirstUserID, "", panel.RolePartner),
		panel.ErrRefused)
	n.wantError("nobody ended", svc.EndUser(ctx, n.lead, "none"), panel.ErrNotFound)
	other := panel.Session{Role: panel.RoleLead, UserID: "other"}
	n.wantError("another lead adds", func() error {
		_, _, err := svc.AddUser(ctx, other, "Ben", panel.RoleLead)
		return err
	}(), panel.ErrRefused)
	n.wantError("another lead sees users", last(svc.Users(ctx, other)), nil)
}

// TestRolesInSingleStudies: a user has in a study the role that is said there, in its versions
// too, and without any there is no such study.
func TestRolesInSingleStudies(t *testing.T) {
	n := newNight(t, custard)
	ctx, svc := t.Context(), n.svc
	n.must(svc.SetPassword(ctx, "Ines", "the owner's pass phrase"))
	ada, token, err := svc.AddUser(ctx, byOwner, "Ada", panel.RoleNamed)
	n.must(err)
	n.must(svc.AcceptInvitation(ctx, token, "a long pass phrase"))
	session := of[panel.SessionToken](n)(svc.SignInAs(ctx, "Ada", "a long pass phrase", "desk"))
	role := func(id panel.StudyID) panel.Role {
		t.Helper()
		by, err := svc.SessionIn(ctx, session, id)
		if errors.Is(err, panel.ErrNoStudy) {
			return panel.RoleNobody
		}
		n.must(err)
		return by.Role
	}
	seen := func() int {
		t.Helper()
		return len(of[[]panel.Study](n)(svc.StudiesFor(ctx, of[panel.Session](n)(svc.Session(ctx, session)))))
	}
	other := of[panel.Study](n)(svc.Begin(ctx, n.lead, []byte(custard), ""))
	expect := func(when string, here, elsewhere panel.Role, studies int) {
		t.Helper()
		if a, b, c := role(n.study), role(other.ID), seen(); a != here || b != elsewhere || c != studies {
			t.Errorf("%s: %s here and %s elsewhere, %d studies; want %s, %s, %d", when, a, b, c, here, elsewhere,
				studies)
		}
	}
	expect("at first", panel.RoleNobody, panel.RoleNobody, 0)
	n.must(svc.SetRole(ctx, byOwner, ada.ID, n.study, panel.RoleMonitor))
	expect("monitor of one", panel.RoleMonitor, panel.RoleNobody, 1)
	n.must(svc.SetRole(ctx, byOwner, ada.ID, "", panel.RolePartner))
	expect("partner of all others", panel.RoleMonitor, panel.RolePartner, 2)
	n.must(svc.SetRole(ctx, byOwner, ada.ID, n.study, panel.RoleNamed))
	expect("partner of all", panel.RolePartner, panel.RolePartner, 2)
	n.must(svc.SetRole(ctx, byOwner, ada.ID, "", panel.RoleNamed))
	n.must(svc.SetRole(ctx, byOwner, ada.ID, n.study, panel.RoleLead))
	expect("lead of one", panel.RoleLead, panel.RoleNobody, 1)
	by := of[panel.Session](n)(svc.SessionIn(ctx, session, n.study))
	next := of[panel.Study](n)(svc.Amend(ctx, by, n.study, "salt"))
	copied := of[panel.Study](n)(svc.Copy(ctx, by, n.study))
	if a, b := role(next.ID), role(copied.ID); a != panel.RoleLead || b != panel.RoleLead {
		t.Errorf("%s of the next version and %s of a copy, want the lead of both", a, b)
	}
	elsewhere := of[panel.Session](n)(svc.Session(ctx, session))
	n.wantError("a new study", last(svc.Begin(ctx, elsewhere, []byte(custard), "")), panel.ErrRefused)
	n.wantError("the record", last(svc.Record(ctx, elsewhere)), panel.ErrRefused)
	log := of[panel.CheckedLog](n)(svc.Log(ctx, n.lead, n.study)).Entries
	if e := log[len(log)-1]; e.What != "amended" || e.Who != "lead Ada" {
		t.Errorf("the last entry of the log is %+v", e)
	}
	n.must(svc.EndUser(ctx, byOwner, ada.ID))
	if _, err := svc.SessionIn(ctx, session, n.study); !errors.Is(err, panel.ErrNotFound) {
		t.Errorf("once ended: %v", err)
	}
}

// TestOwnerHandsOver: the owner alone, with the password, makes another lead the owner, and is then a
// lead like others; nobody ends who owns the service.
func TestOwnerHandsOver(t *testing.T) {
	svc, c := newService(t)
	n := &night{t: t, svc: svc, clock: c, lead: byOwner}
	ctx := t.Context()
	n.must(svc.SetPassword(ctx, "Ines", "the owner's pass phrase"))
	add := func(name string, r panel.Role, chooses bool) panel.UserID {
		u, token, err := svc.AddUser(ctx, n.lead, name, r)
		n.must(err)
		if chooses {
			n.must(svc.AcceptInvitation(ctx, token, "a long pass phrase"))
		}
		return u.ID
	}
	ada, invited, petra := add("Ada", panel.RoleLead, true), add("Ben", panel.RoleLead, false),
		add("Petra", panel.RolePartner, true)
	enter := func(name, password string) panel.Session {
		t.Helper()
		token := of[panel.SessionToken](n)(svc.SignInAs(ctx, name, password, "desk"))
		return of[panel.Session](n)(svc.Session(ctx, token))
	}
	ines, lead := enter("Ines", "the owner's pass phrase"), enter("Ada", "a long pass phrase")
	if !ines.Owner || lead.Owner {
		t.Fatalf("who set it up owns it: %t, another lead: %t", ines.Owner, lead.Owner)
	}
	hand := func(by panel.Session, to panel.UserID, password string) error {
		return svc.HandOverService(ctx, by, to, password, "desk")
	}
	n.wantError("another lead", hand(lead, ada, "a long pass phrase"), panel.ErrRefused)
	n.wantError("to oneself", hand(ines, panel.FirstUserID, "the owner's pass phrase"), panel.ErrRefused)
	n.wantError("to nobody", hand(ines, "none", "the owner's pass phrase"), panel.ErrNotFound)
	n.wantError("to who has no password", hand(ines, invited, "the owner's pass phrase"), panel.ErrBadValue)
	n.wantError("to a partner", hand(ines, petra, "the owner's pass phrase"), panel.ErrBadValue)
	n.wantError("a wrong password", hand(ines, ada, "a long pass phrase"), panel.ErrPassword)
	c.pass(time.Minute)
	held := n.begin("question: names\n").ID
	n.must(svc.SetRole(ctx, ines, ada, held, panel.RolePartner))
	n.wantError("to a partner in one study", hand(ines, ada, "the owner's pass phrase"), panel.ErrBadValue)
	n.must(svc.SetRole(ctx, ines, ada, held, panel.RoleNamed))
	unused := of[panel.InvitationToken](n)(svc.Invite(ctx, ines, ada))
	n.must(hand(ines, ada, "the owner's pass phrase"))
	n.wantError("the next owner's password by whoever was the owner",
		svc.AcceptInvitation(ctx, unused, "chosen by the first"), panel.ErrNotFound)

	before, after := enter("Ines", "the owner's pass phrase"), enter("Ada", "a long pass phrase")
	if before.Owner || !after.Owner || before.Role != panel.RoleLead {
		t.Errorf("the first owner is %+v, the next %+v", before, after)
	}
	n.wantError("adding as before", svc.RenameUser(ctx, before, petra, "Pia"), panel.ErrRefused)
	n.wantError("a page of before", hand(ines, ada, "the owner's pass phrase"), panel.ErrRefused)
	n.wantError("ending who owns it", svc.EndUser(ctx, after, ada), panel.ErrRefused)
	n.wantError("set up anew", svc.SetPassword(ctx, "Iris", "another pass phrase"), panel.ErrPasswordSet)
	n.must(svc.EndUser(ctx, after, panel.FirstUserID))
	n.wantError("set up anew once the first has gone", svc.SetPassword(ctx, "Iris", "another pass phrase"),
		panel.ErrPasswordSet)
	if u := of[panel.User](n)(svc.ResetPassword(ctx, "", "yet another phrase")); u.ID != ada {
		t.Errorf("the machine sets the password of %+v, want the owner's", u)
	}
	all := of[[]panel.UserSeen](n)(svc.Users(ctx, after))
	if all[0].ID != ada || !all[0].Owner {
		t.Errorf("the first of all is %+v, want the owner", all[0])
	}
	log := of[panel.CheckedLog](n)(svc.Log(ctx, after, "")).Entries
	if i := slices.IndexFunc(log, func(e panel.Entry) bool { return e.What == "service handed over" }); i < 0 ||
		log[i].Detail != "to lead Ada" || log[i].Who != "lead Ines" {
		t.Errorf("the log says %+v", log)
	}
}

// TestUserIsRenamed: the owner gives another name, with which they sign in; two never read alike.
func TestUserIsRenamed(t *testing.T) {
	svc, c := newService(t)
	n := &night{t: t, svc: svc, clock: c, lead: byOwner}
	ctx := t.Context()
	n.must(svc.SetPassword(ctx, "Ines", "the owner's pass phrase"))
	ada, token, err := svc.AddUser(ctx, n.lead, "Ada", panel.RoleLead)
	n.must(err)
	n.must(svc.AcceptInvitation(ctx, token, "a long pass phrase"))
	session := of[panel.SessionToken](n)(svc.SignInAs(ctx, "Ada", "a long pass phrase", "desk"))
	as := panel.Session{Role: panel.RoleLead, UserID: ada.ID}
	n.wantError("by herself", svc.RenameUser(ctx, as, ada.ID, "Bea"), panel.ErrRefused)
	n.wantError("no name", svc.RenameUser(ctx, n.lead, ada.ID, " "), panel.ErrBadValue)
	n.wantError("the owner's name", svc.RenameUser(ctx, n.lead, ada.ID, "INES"), panel.ErrTaken)
	n.wantError("nobody", svc.RenameUser(ctx, n.lead, "none", "Bea"), panel.ErrNotFound)
	n.must(svc.RenameUser(ctx, n.lead, ada.ID, "ADA")) // her own, written otherwise
	n.must(svc.RenameUser(ctx, n.lead, ada.ID, " Ada  Lov "))
	n.must(svc.RenameUser(ctx, n.lead, panel.FirstUserID, "Ines Ö"))
	if by := of[panel.Session](n)(svc.Session(ctx, session)); by.Label != "Ada Lov" {
		t.Errorf("who is signed in is %q, want the new name", by.Label)
	}
	n.wantError("the old name", last(svc.SignInAs(ctx, "Ada", "a long pass phrase", "desk")), panel.ErrPassword)
	c.pass(time.Minute)
	n.wantError("the new name", last(svc.SignInAs(ctx, "ada lov", "a long pass phrase", "desk")), nil)
	log := of[panel.CheckedLog](n)(svc.Log(ctx, n.lead, "")).Entries
	if !slices.ContainsFunc(log, func(e panel.Entry) bool {
		return e.What == "user renamed" && e.Detail == "lead ADA is Ada Lov"
	}) {
		t.Errorf("the log says %+v", log)
	}
}
