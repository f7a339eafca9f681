package storetest

import (
	"errors"
	"fmt"
	"sync"
	"time"

	"cloche/internal/panel"
)

// joining is the session of somebody who joins as floor.
func joining() panel.Session {
	return panel.Session{Role: panel.RoleFloor, StudyID: someStudy, SittingID: someSitting,
		Expires: noon.Add(time.Hour)}
}

var accessTests = []namedTest{
	{"a staff link is made once", func(c *check) {
		c.opened(1, 1)
		want := panel.StaffLink{SittingID: someSitting, Role: panel.RoleFloor}
		same(c, "first", got[panel.StaffLink](c)(c.store.StaffLink(c.ctx, someSitting, panel.RoleFloor, "a")), want)
		same(c, "again", got[panel.StaffLink](c)(c.store.StaffLink(c.ctx, someSitting, panel.RoleFloor, "a")), want)
		same(c, "by token", got[panel.StaffLink](c)(c.store.StaffLinkByToken(c.ctx, "a")), want)
		c.wantError("no such token", second(c.store.StaffLinkByToken(c.ctx, "b")), panel.ErrNotFound)
		c.wantError("no such sitting", second(c.store.StaffLink(c.ctx, "nowhere", panel.RoleFloor, "c")),
			panel.ErrNotFound)
		c.wantError("renewing what is not made", second(c.store.RenewStaffLink(c.ctx, someSitting, panel.RoleKitchen,
			nextToken, event("x"))), panel.ErrNotFound)
	}},
	{"who joins is numbered", func(c *check) {
		c.opened(1, 1)
		got[panel.StaffLink](c)(c.store.StaffLink(c.ctx, someSitting, panel.RoleFloor, "a"))
		for n := 1; n <= 2; n++ {
			want := joining()
			want.Label = fmt.Sprint(n)
			same(c, "session", got[panel.Session](c)(c.store.JoinStaff(c.ctx, "a", 0, sessionToken(n), joining(),
				event("joined"))), want)
			same(c, "kept", got[panel.Session](c)(c.store.Session(c.ctx, sessionToken(n))), want)
		}
		same(c, "joined", got[panel.StaffLink](c)(c.store.StaffLinkByToken(c.ctx, "a")).Joined, 2)
		same(c, "log", got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy))[1].Who, "floor 2")
		c.wantError("a code that was renewed", second(c.store.JoinStaff(c.ctx, "a", 1, "s3", joining(), event("x"))),
			panel.ErrCode)
		c.wantError("no such link", second(c.store.JoinStaff(c.ctx, "b", 0, "s4", joining(), event("x"))),
			panel.ErrCode)
	}},
	{"renewing ends the sessions of the link alone", func(c *check) {
		c.opened(1, 1)
		kitchen, elsewhere := joining(), joining()
		kitchen.Role, elsewhere.SittingID = panel.RoleKitchen, "sitting-2"
		c.must(c.store.CreateSession(c.ctx, "kitchen", kitchen, noon.Add(-time.Hour)))
		c.must(c.store.CreateSession(c.ctx, "elsewhere", elsewhere, noon.Add(-time.Hour)))
		got[panel.StaffLink](c)(c.store.StaffLink(c.ctx, someSitting, panel.RoleFloor, "a"))
		got[panel.Session](c)(c.store.JoinStaff(c.ctx, "a", 0, "floor", joining(), event("joined")))
		renewed := got[panel.StaffLink](c)(c.store.RenewStaffLink(c.ctx, someSitting, panel.RoleFloor, nextToken,
			event("renewed")))
		same(c, "renewed", renewed, panel.StaffLink{SittingID: someSitting, Role: panel.RoleFloor, Renewals: 1,
			Joined: 1})
		c.wantError("the old link", second(c.store.StaffLinkByToken(c.ctx, "a")), panel.ErrNotFound)
		same(c, "the new link", got[panel.StaffLink](c)(c.store.StaffLinkByToken(c.ctx, "a1")), renewed)
		same(c, "asked for again", got[panel.StaffLink](c)(c.store.StaffLink(c.ctx, someSitting, panel.RoleFloor, "a")),
			renewed)
		c.wantError("floor", second(c.store.Session(c.ctx, "floor")), panel.ErrNotFound)
		c.must(second(c.store.Session(c.ctx, "kitchen")))
		c.must(second(c.store.Session(c.ctx, "elsewhere")))
	}},
	{"joining while the code is renewed", testJoinWhileRenewing},
	{"a tablet shows one ballot, and a ballot stands on one tablet", func(c *check) {
		c.opened(2, 2)
		one, other := c.seat(1), c.seat(2)
		lent := func(a panel.Assessor) panel.Session {
			return panel.Session{Role: panel.RoleTablet, StudyID: someStudy, SittingID: someSitting, Seat: a.ID,
				Expires: noon.Add(time.Hour)}
		}
		stale := lent(other)
		stale.Expires = noon
		c.must(c.store.Lend(c.ctx, "stale", stale, noon.Add(-time.Hour), event("lent")))
		c.wantError("after its time", second(c.store.LentSeat(c.ctx, "stale", noon)), panel.ErrNotFound)
		c.must(c.store.Lend(c.ctx, "first", lent(one), noon, event("lent")))
		c.wantError("what had expired", second(c.store.Session(c.ctx, "stale")), panel.ErrNotFound)
		c.must(c.store.Lend(c.ctx, "second", lent(one), noon, event("lent")))
		c.wantError("the first tablet", second(c.store.LentSeat(c.ctx, "first", noon)), panel.ErrNotFound)
		same(c, "whose", got[panel.TokenHash](c)(c.store.LentSeat(c.ctx, "second", noon)), token(1))
		same(c, "session", got[panel.Session](c)(c.store.Session(c.ctx, "second")), lent(one))
		same(c, "lent", got[[]panel.AssessorID](c)(c.store.Lent(c.ctx, someSitting, noon)), []panel.AssessorID{one.ID})
		same(c, "elsewhere", len(got[[]panel.AssessorID](c)(c.store.Lent(c.ctx, "sitting-2", noon))), 0)
		floor := joining()
		c.must(c.store.CreateSession(c.ctx, "floor", floor, noon))
		c.wantError("somebody's session", second(c.store.LentSeat(c.ctx, "floor", noon)), panel.ErrNotFound)
		c.wantError("a seat on none", c.store.EndLoan(c.ctx, other.ID, event("back")), panel.ErrNotFound)
		c.must(c.store.EndLoan(c.ctx, one.ID, event("back")))
		c.wantError("given back", second(c.store.LentSeat(c.ctx, "second", noon)), panel.ErrNotFound)
		c.must(second(c.store.Session(c.ctx, "floor")))
		log := got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy))
		same(c, "log", log[len(log)-1].What, "back")
	}},
	{"users, each with a name of their own", testUsers},
	{"roles in single studies", testRolesInStudies},
	{"an invitation is used once", func(c *check) {
		c.users("ada", "ben")
		c.must(c.store.Invite(c.ctx, "ada", "old", noon.Add(time.Hour), event("invited")))
		c.must(c.store.Invite(c.ctx, "ada", "new", noon.Add(time.Hour), event("invited")))
		c.wantError("one that was replaced", thirdOf(c.store.Invitation(c.ctx, "old")), panel.ErrNotFound)
		whose, expires, err := c.store.Invitation(c.ctx, "new")
		c.must(err)
		same(c, "whose", whose, panel.UserID("ada"))
		same(c, "expires", expires, noon.Add(time.Hour))
		c.signedIn("ada", "ada", noon)
		c.signedIn("ben", "ben", noon)
		accept := func(token panel.TokenHash, at time.Time) error {
			return c.store.AcceptInvitation(c.ctx, token, "digest", at, event("accepted"))
		}
		c.wantError("too late", accept("new", noon.Add(time.Hour)), panel.ErrNotFound)
		c.must(accept("new", noon))
		c.wantError("twice", accept("new", noon), panel.ErrNotFound)
		same(c, "password", got[panel.User](c)(c.store.User(c.ctx, "ada")).Digest, "digest")
		c.wantError("the session of who accepted", second(c.store.Session(c.ctx, "ada")), panel.ErrNotFound)
		c.must(second(c.store.Session(c.ctx, "ben")))
	}},
	{"an invitation used from many sides at once", func(c *check) {
		c.users("ada")
		c.must(c.store.Invite(c.ctx, "ada", "a", noon.Add(time.Hour), event("invited")))
		errs := make([]error, 10)
		var all sync.WaitGroup
		for i := range errs {
			all.Go(func() {
				errs[i] = c.store.AcceptInvitation(c.ctx, "a", fmt.Sprint(i), noon, event("accepted"))
			})
		}
		all.Wait()
		won := 0
		for i, err := range errs {
			if err == nil {
				won++
				same(c, "password", got[panel.User](c)(c.store.User(c.ctx, "ada")).Digest, fmt.Sprint(i))
				continue
			}
			c.wantError("the others", err, panel.ErrNotFound)
		}
		same(c, "who used it", won, 1)
	}},
	{"a password in the place of another", func(c *check) {
		c.users("ada", "ben")
		c.signedIn("here", "ada", noon)
		c.signedIn("elsewhere", "ada", noon)
		c.signedIn("ben", "ben", noon)
		for _, digest := range []string{"first", "second"} {
			c.must(c.store.ReplacePassword(c.ctx, "ada", digest, "here", event("password changed")))
			same(c, "password", got[panel.User](c)(c.store.User(c.ctx, "ada")).Digest, digest)
		}
		c.wantError("the session elsewhere", second(c.store.Session(c.ctx, "elsewhere")), panel.ErrNotFound)
		c.must(second(c.store.Session(c.ctx, "here")))
		c.must(second(c.store.Session(c.ctx, "ben")))
		c.wantError("of nobody", c.store.ReplacePassword(c.ctx, "carl", "x", "", event("no")), panel.ErrNotFound)
	}},
	{"the language of a user", func(c *check) {
		c.users("ada", "ben")
		c.signedIn("here", "ada", noon)
		c.signedIn("there", "ben", noon)
		for _, tag := range []string{"de", "fr", ""} {
			c.must(c.store.SetLanguage(c.ctx, "ada", tag))
			same(c, "hers", got[panel.Session](c)(c.store.Session(c.ctx, "here")).Language, tag)
			same(c, "his", got[panel.Session](c)(c.store.Session(c.ctx, "there")).Language, "")
		}
		c.wantError("of nobody", c.store.SetLanguage(c.ctx, "carl", "de"), panel.ErrNotFound)
	}},
	{"sessions of a user end but for one", func(c *check) {
		c.users("ada", "ben")
		c.signedIn("here", "ada", noon.Add(3*time.Hour))
		c.signedIn("earlier", "ada", noon.Add(time.Hour))
		c.signedIn("later", "ada", noon.Add(2*time.Hour))
		c.signedIn("over", "ada", noon)
		c.signedIn("ben", "ben", noon.Add(time.Hour))
		elsewhere := func() (ends []time.Time) {
			for _, x := range got[[]panel.Session](c)(c.store.SessionsOf(c.ctx, "ada", "here", noon)) {
				ends = append(ends, x.Expires)
			}
			return ends
		}
		same(c, "elsewhere", elsewhere(), []time.Time{noon.Add(2 * time.Hour), noon.Add(time.Hour)})
		c.must(c.store.DeleteSessionsOf(c.ctx, "ada", "here", event("signed out elsewhere")))
		same(c, "elsewhere, ended", len(elsewhere()), 0)
		c.must(second(c.store.Session(c.ctx, "here")))
		c.must(second(c.store.Session(c.ctx, "ben")))
		log := got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy))
		same(c, "log", log[len(log)-1].What, "signed out elsewhere")
	}},
	{"a passkey answers a challenge once", testPasskeys},
	{"a user ends whole", func(c *check) {
		c.users("ada", "ben")
		c.must(c.store.AddPasskey(c.ctx, panel.Passkey{ID: "k", UserID: "ada", Added: noon}, 1, event("added")))
		c.must(c.store.AddPasskey(c.ctx, panel.Passkey{ID: "l", UserID: "ben", Added: noon}, 1, event("added")))
		c.must(c.store.Invite(c.ctx, "ada", "b", noon.Add(time.Hour), event("invited")))
		c.must(c.store.SetRole(c.ctx, "ada", someStudy, panel.RoleLead, event("role")))
		c.signedIn("s", "ada", noon)
		c.must(c.store.EndUser(c.ctx, "ada", event("ended")))
		c.wantError("twice", c.store.EndUser(c.ctx, "ada", event("again")), panel.ErrNotFound)
		c.wantError("user", second(c.store.User(c.ctx, "ada")), panel.ErrNotFound)
		c.wantError("role", second(c.store.RoleIn(c.ctx, "ada", someStudy)), panel.ErrNotFound)
		c.wantError("passkey", second(c.store.Passkey(c.ctx, "k")), panel.ErrNotFound)
		c.must(second(c.store.Passkey(c.ctx, "l")))
		c.wantError("invitation", thirdOf(c.store.Invitation(c.ctx, "b")), panel.ErrNotFound)
		c.wantError("session", second(c.store.Session(c.ctx, "s")), panel.ErrNotFound)
	}},
}

// users adds partners, each with an id for a name.
func (c *check) users(ids ...panel.UserID) {
	c.Helper()
	for _, id := range ids {
		u := panel.User{ID: id, Name: string(id), Role: panel.RolePartner, Added: noon}
		c.must(c.store.AddUser(c.ctx, u, 10, event("added")))
	}
}

// signedIn begins a session of a user.
func (c *check) signedIn(token panel.TokenHash, id panel.UserID, ends time.Time) {
	c.Helper()
	c.must(c.store.CreateSession(c.ctx, token, panel.Session{Role: panel.RoleFloor, UserID: id, Label: "as it was",
		Expires: ends}, noon.Add(-24*time.Hour)))
}

func testUsers(c *check) {
	owner := panel.User{ID: panel.FirstUserID, Name: "Zoë Ö", Role: panel.RoleLead, Digest: "d", Owner: true,
		Added: noon}
	same(c, "before", got[int](c)(c.store.CountUsers(c.ctx)), 0)
	c.wantError("before", second(c.store.Owner(c.ctx)), panel.ErrNotFound)
	c.must(c.store.AddUser(c.ctx, owner, 3, event("added")))
	add := func(id panel.UserID, name string) error {
		u := panel.User{ID: id, Name: name, Role: panel.RoleMonitor, Added: noon}
		return c.store.AddUser(c.ctx, u, 3, event("more"))
	}
	c.wantError("the same id", add(panel.FirstUserID, "else"), panel.ErrTaken)
	c.wantError("the same name", add("x", "zoË ö"), panel.ErrTaken)
	errs := make([]error, 8)
	var all sync.WaitGroup
	for i := range errs {
		all.Go(func() { errs[i] = add(panel.UserID(fmt.Sprint("ada", i)), "Ada") })
	}
	all.Wait()
	added := 0
	for _, err := range errs {
		if err == nil {
			added++
			continue
		}
		c.wantError("the same name at once", err, panel.ErrTaken)
	}
	same(c, "added at once", added, 1)
	c.must(add("b", "ben"))
	c.wantError("one too many", add("c", "carl"), panel.ErrTooMany)
	same(c, "count", got[int](c)(c.store.CountUsers(c.ctx)), 3)
	same(c, "the owner", got[panel.User](c)(c.store.UserNamed(c.ctx, "ZOË Ö")), owner)
	c.wantError("nobody", second(c.store.UserNamed(c.ctx, "Zoe O")), panel.ErrNotFound)

	c.wantError("another owner", c.store.AddUser(c.ctx, panel.User{ID: "o", Name: "o", Owner: true, Added: noon}, 9,
		event("more")), panel.ErrTaken)
	c.wantError("ending the owner", c.store.EndUser(c.ctx, panel.FirstUserID, event("ended")), panel.ErrNotFound)
	c.wantError("the owner's role", c.store.SetRole(c.ctx, panel.FirstUserID, "", panel.RoleMonitor, event("role")),
		panel.ErrNotFound)
	c.wantError("a taken name", c.store.RenameUser(c.ctx, "b", "zoË ö", event("name")), panel.ErrTaken)
	c.wantError("the name of nobody", c.store.RenameUser(c.ctx, "none", "Else", event("name")), panel.ErrNotFound)
	c.must(c.store.RenameUser(c.ctx, "b", "Bén", event("name")))
	same(c, "renamed", got[panel.User](c)(c.store.UserNamed(c.ctx, "bÉn")).ID, "b")
	c.must(c.store.RenameUser(c.ctx, "b", "ben", event("name")))

	c.signedIn("s", "b", noon.Add(time.Hour))
	c.signedIn("over", "b", noon)
	c.must(c.store.AddPasskey(c.ctx, panel.Passkey{ID: "k", UserID: "b", Added: noon}, 1, event("added")))
	c.must(c.store.Invite(c.ctx, "b", "t", noon.Add(time.Minute), event("invited")))
	c.must(c.store.SetRole(c.ctx, "b", "", panel.RoleNamed, event("role")))
	c.wantError("the role of nobody", c.store.SetRole(c.ctx, "none", "", panel.RoleLead, event("no")),
		panel.ErrNotFound)
	seen := got[[]panel.UserSeen](c)(c.store.UsersSeen(c.ctx, noon))
	same(c, "seen", []string{seen[0].Name, seen[1].Name, seen[2].Name}, []string{"Zoë Ö", "Ada", "ben"})
	same(c, "ben", seen[2], panel.UserSeen{User: panel.User{ID: "b", Name: "ben", Role: panel.RoleNamed, Added: noon},
		Sessions: 1, Passkeys: 1, Invited: noon.Add(time.Minute)})
	session := got[panel.Session](c)(c.store.Session(c.ctx, "s"))
	same(c, "the session", session, panel.Session{Role: panel.RoleNamed, House: panel.RoleNamed, UserID: "b",
		Label: "ben", Expires: noon.Add(time.Hour)})

	c.wantError("to who is no lead", c.store.HandOver(c.ctx, panel.FirstUserID, "b", event("over")), panel.ErrBadValue)
	c.must(c.store.SetRole(c.ctx, "b", "", panel.RoleLead, event("role")))
	c.wantError("to who has no password", c.store.HandOver(c.ctx, panel.FirstUserID, "b", event("over")),
		panel.ErrBadValue)
	same(c, "still the owner's", got[panel.User](c)(c.store.Owner(c.ctx)).ID, panel.FirstUserID)
	c.must(c.store.ReplacePassword(c.ctx, "b", "e", "s", event("password")))
	c.must(c.store.HandOver(c.ctx, panel.FirstUserID, "b", event("over")))
	c.wantError("twice", c.store.HandOver(c.ctx, panel.FirstUserID, "b", event("over")), panel.ErrRefused)
	same(c, "the owner now", got[panel.User](c)(c.store.Owner(c.ctx)).ID, "b")
	same(c, "in a session", got[panel.Session](c)(c.store.Session(c.ctx, "s")).Owner, true)
}

func testRolesInStudies(c *check) {
	c.users("ada", "ben")
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", event("begun")))
	c.must(c.store.SetRole(c.ctx, "ada", someStudy, panel.RoleLead, event("role")))
	c.must(c.store.SetRole(c.ctx, "ada", someStudy, panel.RoleMonitor, event("role")))
	c.must(c.store.SetRole(c.ctx, "ben", someStudy, panel.RoleLead, event("role")))
	c.must(c.store.SetRole(c.ctx, "ben", someStudy, panel.RoleNamed, event("role")))
	c.wantError("the role of nobody", c.store.SetRole(c.ctx, "carl", someStudy, panel.RoleLead, event("no")),
		panel.ErrNotFound)
	same(c, "role", got[panel.Role](c)(c.store.RoleIn(c.ctx, "ada", someStudy)), panel.RoleMonitor)
	c.wantError("taken back", second(c.store.RoleIn(c.ctx, "ben", someStudy)), panel.ErrNotFound)
	c.wantError("in no study", second(c.store.RoleIn(c.ctx, "ada", "none")), panel.ErrNotFound)
	same(c, "all", got[panel.User](c)(c.store.User(c.ctx, "ada")).In,
		map[panel.StudyID]panel.Role{someStudy: panel.RoleMonitor})
	copied := draft("copied")
	c.must(c.store.CreateStudy(c.ctx, copied, someStudy, panel.Event{At: noon, StudyID: "copied", Who: "lead"}))
	same(c, "in a copy", got[panel.Role](c)(c.store.RoleIn(c.ctx, "ada", "copied")), panel.RoleMonitor)
}

// nextToken is the hash of a link's token after so many renewals.
func sessionToken(n int) panel.TokenHash { return panel.TokenHash(fmt.Sprint("s", n)) }

func nextToken(renewals int) panel.TokenHash { return panel.TokenHash(fmt.Sprint("a", renewals)) }

// testJoinWhileRenewing: whoever joined with the old code is out afterwards.
func testJoinWhileRenewing(c *check) {
	c.opened(1, 1)
	got[panel.StaffLink](c)(c.store.StaffLink(c.ctx, someSitting, panel.RoleFloor, "a"))
	errs := make([]error, 20)
	var all sync.WaitGroup
	for i := range errs {
		all.Go(func() {
			_, errs[i] = c.store.JoinStaff(c.ctx, "a", 0, sessionToken(i), joining(), event("joined"))
		})
		if i == len(errs)/2 {
			all.Go(func() {
				if _, err := c.store.RenewStaffLink(c.ctx, someSitting, panel.RoleFloor, nextToken,
					event("renewed")); err != nil {
					c.Errorf("renew: %v", err)
				}
			})
		}
	}
	all.Wait()
	for i, err := range errs {
		if err != nil && !errors.Is(err, panel.ErrCode) {
			c.Errorf("join %d: %v", i, err)
		}
		c.wantError(fmt.Sprintf("session %d", i), second(c.store.Session(c.ctx, sessionToken(i))), panel.ErrNotFound)
	}
}

func testPasskeys(c *check) {
	c.users("ada", "ben")
	key := panel.Passkey{ID: "a", UserID: "ada", Name: "ring – 鍵", Credential: `{"counter":1}`, Added: noon}
	c.wantError("before", second(c.store.Passkey(c.ctx, "a")), panel.ErrNotFound)
	c.must(c.store.AddPasskey(c.ctx, key, 2, event("passkey added")))
	c.must(c.store.AddPasskey(c.ctx, panel.Passkey{ID: "b", UserID: "ada", Added: noon.Add(-time.Hour)}, 2,
		event("passkey added")))
	c.wantError("a third", c.store.AddPasskey(c.ctx, panel.Passkey{ID: "c", UserID: "ada", Added: noon}, 2,
		event("one too many")), panel.ErrTooMany)
	err := c.store.AddPasskey(c.ctx, panel.Passkey{ID: "a", UserID: "ben", Added: noon}, 2, event("twice"))
	if err == nil {
		c.Error("a passkey of one user was taken for another's, too")
	}
	same(c, "kept", got[panel.Passkey](c)(c.store.Passkey(c.ctx, "a")), key)
	all := got[[]panel.Passkey](c)(c.store.Passkeys(c.ctx, "ada"))
	same(c, "of one, oldest first", []string{all[0].ID, all[1].ID}, []string{"b", "a"})
	same(c, "of another", len(got[[]panel.Passkey](c)(c.store.Passkeys(c.ctx, "ben"))), 0)
	same(c, "anybody's", got[bool](c)(c.store.HasPasskeys(c.ctx)), true)
	used := key
	used.Credential, used.Used, used.Asked = `{"counter":2}`, noon.Add(time.Minute), noon.Add(time.Second)
	taken := make([]error, 8)
	var together sync.WaitGroup
	for i := range taken {
		together.Go(func() { taken[i] = c.store.UsePasskey(c.ctx, used) })
	}
	together.Wait()
	once := 0
	for _, err := range taken {
		if err == nil {
			once++
			continue
		}
		c.wantError("the same answer again", err, panel.ErrPasskey)
	}
	same(c, "taken", once, 1)
	same(c, "used", got[panel.Passkey](c)(c.store.Passkey(c.ctx, "a")), used)
	used.Asked = noon
	c.wantError("an older challenge", c.store.UsePasskey(c.ctx, used), panel.ErrPasskey)
	c.wantError("removed by another", c.store.RemovePasskey(c.ctx, "ben", "a", event("no")), panel.ErrNotFound)
	c.must(c.store.RemovePasskey(c.ctx, "ada", "a", event("passkey removed")))
	c.wantError("once removed", c.store.UsePasskey(c.ctx, panel.Passkey{ID: "a", Asked: noon.Add(time.Hour)}),
		panel.ErrPasskey)
	c.must(c.store.ReplacePassword(c.ctx, "ada", "digest", "kept", event("changed")))
	c.must(second(c.store.Passkey(c.ctx, "b")))
	c.must(c.store.ReplacePassword(c.ctx, "ada", "digest", "", event("reset")))
	c.wantError("after a reset", second(c.store.Passkey(c.ctx, "b")), panel.ErrNotFound)
	var log []string
	for _, e := range got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)) {
		log = append(log, e.What)
	}
	same(c, "log", log, []string{"added", "added", "passkey added", "passkey added",
		"passkey removed", "changed", "reset"})
}
