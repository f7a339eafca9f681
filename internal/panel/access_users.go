package panel

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// UserID names a user; on the wire it says nothing.
type UserID string

// FirstUserID is that of whoever set the service up: its first owner.
const FirstUserID UserID = "first"

const (
	// MaxUserName is the longest name of a user, in characters.
	MaxUserName = 60
	// MaxUsers is how many users there may be.
	MaxUsers = 500
	// InvitationLength is how long an invitation may be accepted.
	InvitationLength = 7 * 24 * time.Hour
)

// User is somebody of the house, or beside it, who signs in under a name.
type User struct {
	ID     UserID
	Name   string
	Role   Role             // in every study in which no other is said; [RoleNamed]: in those alone
	In     map[StudyID]Role // in single studies, all versions of each: by the first one's id
	Digest string           // of the password; "" until it is chosen
	Owner  bool             // of the service: one of the leads, who adds the other users and ends them
	Added  time.Time
}

// UserRoles are those that a user may have, in single studies all but [RoleNamed].
var UserRoles = []Role{RoleLead, RolePartner, RoleMonitor, RoleNamed}

// ErrTaken says that somebody else has a name.
var ErrTaken = errors.New("somebody has this name already")

// NameKey is what names of users are compared by: two that read alike are one.
func NameKey(name string) string { return strings.ToLower(norm.NFKC.String(name)) }

// userName tidies the name of a user, or says that it is none ([ErrBadValue]).
func userName(name string) (string, error) {
	name = strings.Join(strings.Fields(name), " ")
	if n := utf8.RuneCountInString(name); n == 0 || n > MaxUserName || !utf8.ValidString(name) ||
		strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return "", fmt.Errorf("%w: a user has a name of at most %d characters", ErrBadValue, MaxUserName)
	}
	return name, nil
}

// HasPassword reports whether the service was set up.
func (s *Service) HasPassword(ctx context.Context) (bool, error) {
	_, err := s.store.Owner(ctx)
	return err == nil, ignoring(err, ErrNotFound)
}

// SetPassword makes the first user, the owner, who is a lead. [ErrWeak] and [ErrBadValue] for
// password and name, [ErrPasswordSet] when there is an owner.
func (s *Service) SetPassword(ctx context.Context, name, password string) error {
	name, err := userName(name)
	if err != nil {
		return err
	}
	digest, err := s.digestOf(password)
	if err != nil {
		return err
	}
	u := User{ID: FirstUserID, Name: name, Role: RoleLead, Digest: digest, Owner: true, Added: s.now()}
	err = s.store.AddUser(ctx, u, MaxUsers, s.event("", u.nameInLog(), "password set", ""))
	if errors.Is(err, ErrTaken) {
		return ErrPasswordSet
	}
	return err
}

// nameInLog names a user in the log.
func (u User) nameInLog() string { return Session{Role: u.Role, Label: u.Name}.Who() }

// UserSeen is a user as the others in the house see them.
type UserSeen struct {
	User
	Sessions int       // in which they are signed in
	Passkeys int       //
	Invited  time.Time // until when an invitation can be accepted; zero when there is none
}

// Users returns all users, the owner first and then by their names. Lead only.
func (s *Service) Users(ctx context.Context, by Session) ([]UserSeen, error) {
	if err := by.may(ActSeeUsers); err != nil {
		return nil, err
	}
	return s.store.UsersSeen(ctx, s.now())
}

// HasOthers reports whether there is a user beside the owner.
func (s *Service) HasOthers(ctx context.Context) (bool, error) {
	n, err := s.store.CountUsers(ctx)
	return n > 1, err
}

// AddUser adds a user who has a role in every study, or with [RoleNamed] in none yet, and returns
// the token of a one-time link on which they choose a password. [ErrBadValue] for a name or role
// that is none, [ErrTaken], [ErrTooMany]. Owner only.
func (s *Service) AddUser(ctx context.Context, by Session, name string, r Role) (User, InvitationToken, error) {
	if err := by.may(ActInvite); err != nil {
		return User{}, "", err
	}
	name, err := userName(name)
	if err != nil {
		return User{}, "", err
	}
	if !slices.Contains(UserRoles, r) {
		return User{}, "", ErrBadValue
	}
	id, err := s.token(10)
	if err != nil {
		return User{}, "", err
	}
	u := User{ID: UserID(id), Name: name, Role: r, Added: s.now()}
	if err := s.store.AddUser(ctx, u, MaxUsers, s.event("", by.Who(), "user added", u.nameInLog())); err != nil {
		return User{}, "", err
	}
	token, err := s.Invite(ctx, by, u.ID)
	return u, token, err
}

// Invite returns the token of a one-time link on which a user chooses a password. An earlier
// invitation of theirs ends; what they sign in with goes on until the new one is accepted.
// Owner only, and not for the owner: [ErrRefused].
func (s *Service) Invite(ctx context.Context, by Session, id UserID) (InvitationToken, error) {
	u, err := s.other(ctx, by, id)
	if err != nil {
		return "", err
	}
	token, err := s.token(24)
	if err != nil {
		return "", err
	}
	err = s.store.Invite(ctx, id, hash(token), s.now().Add(InvitationLength),
		s.event("", by.Who(), "user invited", u.nameInLog()))
	if err != nil {
		return "", fmt.Errorf("invite a user: %w", err)
	}
	return InvitationToken(token), nil
}

// other is a user whom the owner may change.
func (s *Service) other(ctx context.Context, by Session, id UserID) (User, error) {
	if err := by.may(ActInvite); err != nil {
		return User{}, err
	}
	u, err := s.store.User(ctx, id)
	if err == nil && u.Owner {
		err = ErrRefused
	}
	return u, err
}

// RenameUser gives a user another name, under which they sign in from then on; what the logs say
// stays. [ErrBadValue] for a name that is none, [ErrTaken]. Owner only: who is who in the logs is not
// for each to choose.
func (s *Service) RenameUser(ctx context.Context, by Session, id UserID, name string) error {
	if err := by.may(ActInvite); err != nil {
		return err
	}
	name, err := userName(name)
	if err != nil {
		return err
	}
	u, err := s.store.User(ctx, id)
	if err != nil {
		return err
	}
	return s.store.RenameUser(ctx, id, name, s.event("", by.Who(), "user renamed", u.nameInLog()+" is "+name))
}

// HandOverService makes another lead the owner of the service, who stays a lead. It takes the owner's
// password, so that a device that was left signed in does not do it; from is the caller's address,
// as for [Service.SignInAs]. [ErrPassword], [ErrSlowDown], and [ErrBadValue] for who is no lead in
// all studies or has no password yet. Owner only.
func (s *Service) HandOverService(ctx context.Context, by Session, to UserID, password, from string) error {
	u, err := s.other(ctx, by, to)
	if err != nil {
		return err
	}
	if !u.MayOwn() {
		return fmt.Errorf("%w: only a lead in all studies who has a password can own the service", ErrBadValue)
	}
	owner, err := s.store.User(ctx, by.UserID)
	if err != nil {
		return err
	}
	if err := s.checkPassword(ctx, owner, password, from); err != nil {
		return err
	}
	return s.store.HandOver(ctx, owner.ID, to, s.event("", by.Who(), "service handed over", "to "+u.nameInLog()))
}

// MayOwn reports whether the service can be handed over to a user: a lead in every study, who has a
// password. Who has another role in one study would keep it there as the owner.
func (u User) MayOwn() bool {
	return !u.Owner && u.Role == RoleLead && u.Digest != "" && len(u.In) == 0
}

// Invited returns who is invited: [ErrNotFound] when the invitation was used, ended or never made.
func (s *Service) Invited(ctx context.Context, token InvitationToken) (User, error) {
	id, expires, err := s.store.Invitation(ctx, hash(token))
	if err != nil {
		return User{}, err
	}
	if !s.now().Before(expires) {
		return User{}, ErrNotFound
	}
	return s.store.User(ctx, id)
}

// AcceptInvitation sets the password of who is invited and uses up the invitation. Their
// sessions and passkeys end, so that a new invitation also shuts out who knows the old
// password. [ErrWeak] and [ErrNotFound] as they say.
func (s *Service) AcceptInvitation(ctx context.Context, token InvitationToken, password string) error {
	u, err := s.Invited(ctx, token)
	if err != nil {
		return err
	}
	digest, err := s.digestOf(password)
	if err != nil {
		return err
	}
	return s.store.AcceptInvitation(ctx, hash(token), digest, s.now(), s.event("", u.nameInLog(), "password set", ""))
}

// SetRole gives a user a role: in a study, in all its versions, or with studyID "" in all studies
// in which no other is said. In a study [RoleNamed] says that none is said there. It counts
// from the next page on. [ErrBadValue] for a role that no user has. Owner only, and not for the
// owner: [ErrRefused].
func (s *Service) SetRole(ctx context.Context, by Session, id UserID, studyID StudyID, r Role) error {
	u, err := s.other(ctx, by, id)
	if err != nil {
		return err
	}
	if !slices.Contains(UserRoles, r) {
		return ErrBadValue
	}
	detail := u.nameInLog() + " is " + r.String()
	if studyID == "" {
		return s.store.SetRole(ctx, id, "", r, s.event("", by.Who(), "role changed", detail))
	}
	stored, err := s.store.Study(ctx, studyID)
	if err != nil {
		return err
	}
	if r == RoleNamed {
		detail = u.nameInLog() + " has no role of their own here"
	}
	if err := s.store.SetRole(ctx, id, stored.Series, r, s.event(studyID, by.Who(), "role changed",
		detail)); err != nil {
		return fmt.Errorf("change a role: %w", err)
	}
	s.changed(studyID)
	return nil
}

// EndUser takes a user's password, passkeys, invitation, sessions and roles away. Owner only, and
// not for the owner: [ErrRefused].
func (s *Service) EndUser(ctx context.Context, by Session, id UserID) error {
	u, err := s.other(ctx, by, id)
	if err != nil {
		return err
	}
	return s.store.EndUser(ctx, id, s.event("", by.Who(), "user removed", u.nameInLog()))
}

// SignOutUser ends all sessions of a user. Owner only, and not for the owner: [ErrRefused].
func (s *Service) SignOutUser(ctx context.Context, by Session, id UserID) error {
	u, err := s.other(ctx, by, id)
	if err != nil {
		return err
	}
	return s.store.DeleteSessionsOf(ctx, id, "", s.event("", by.Who(), "user signed out everywhere", u.nameInLog()))
}

// SessionIn is [Service.Session] for what is done in a study: a user has the role there that they
// have in it. [ErrNotFound] where that is none, too.
func (s *Service) SessionIn(ctx context.Context, token SessionToken, studyID StudyID) (Session, error) {
	by, err := s.Session(ctx, token)
	if err != nil || by.UserID == "" {
		return by, err
	}
	r, err := s.store.RoleIn(ctx, by.UserID, studyID)
	switch {
	case err == nil:
		by.Role = r
	case !isMissing(err):
		return Session{}, err
	case by.Role == RoleNamed:
		return Session{}, ErrNoStudy
	}
	return by, nil
}

// ErrNoStudy says that somebody who is signed in has no role in a study: for them there is none.
var ErrNoStudy = fmt.Errorf("%w: no role in this study", ErrNotFound)

// StudiesFor returns the studies in which somebody has a role, newest first.
func (s *Service) StudiesFor(ctx context.Context, by Session) ([]Study, error) {
	all, err := s.Studies(ctx)
	if err != nil || by.Role != RoleNamed {
		return all, err
	}
	u, err := s.store.User(ctx, by.UserID)
	return slices.DeleteFunc(all, func(x Study) bool { return u.In[x.Series] == RoleNobody }), err
}
