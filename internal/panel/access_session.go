package panel

import (
	"context"
	"fmt"
	"slices"
	"time"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/study"
)

// SessionLength is how long a role stays signed in: longer than a service day with its
// preparation, from the first delivery to the last guest.
const SessionLength = 24 * time.Hour

// digestOf returns what is kept of a password, or [ErrWeak].
func (s *Service) digestOf(password string) (string, error) {
	if len(PasswordProblems(password)) > 0 {
		return "", ErrWeak
	}
	digest, err := bcrypt.GenerateFromPassword([]byte(password), s.hashCost)
	if err != nil {
		return "", fmt.Errorf("hash the password: %w", err)
	}
	return string(digest), nil
}

// Session is who somebody is while they are signed in. Kitchen and floor are
// signed in to one sitting; users to the service.
type Session struct {
	Role      Role       // of a user: in the study that they act on, as [Service.SessionIn] says
	House     Role       // of a user: in every study in which no other is said; [RoleNamed]: in those alone
	UserID    UserID     // of a user; else ""
	Owner     bool       // of the user who owns the service
	StudyID   StudyID    // kitchen and floor
	SittingID SittingID  // kitchen and floor
	Label     string     // kitchen and floor: their number at the sitting; of a user: the name
	Seat      AssessorID // the house's tablet: whose ballot it shows
	Language  string     // of a user: in which they read pages, a BCP 47 tag; "" = as their browser asks
	Expires   time.Time
}

// Who names the role in the log, with the label where there is one.
func (s Session) Who() string {
	if s.Label == "" {
		return s.Role.String()
	}
	return s.Role.String() + " " + s.Label
}

// SignIn is [Service.SignInAs] for the owner.
func (s *Service) SignIn(ctx context.Context, password, from string) (SessionToken, error) {
	return s.SignInAs(ctx, "", password, from)
}

// SignInAs checks the password of the user who has a name, of the owner when it is "", and
// returns the token of a new session. from is the caller's address: after wrong passwords the
// next try from there waits ([ErrSlowDown]). [ErrPassword] when it is wrong or there is none,
// [ErrNotFound] when nobody has one yet.
func (s *Service) SignInAs(ctx context.Context, name, password, from string) (SessionToken, error) {
	var u User
	var err error
	if name == "" {
		u, err = s.store.Owner(ctx)
	} else if u, err = s.store.UserNamed(ctx, name); isMissing(err) {
		u, err = User{}, nil // looked at as long as any other
	}
	if err != nil {
		return "", err
	}
	if err := s.checkPassword(ctx, u, password, from); err != nil {
		return "", err
	}
	return s.beginSession(ctx, u, "from "+from)
}

// beginSession signs a user in; how is for the log.
func (s *Service) beginSession(ctx context.Context, u User, how string) (SessionToken, error) {
	now := s.now()
	token, err := s.token(32)
	if err != nil {
		return "", err
	}
	by := Session{Role: u.Role, UserID: u.ID, Label: u.Name, Expires: now.Add(SessionLength)}
	if err := s.store.CreateSession(ctx, hash(token), by, now); err != nil {
		return "", fmt.Errorf("begin a session: %w", err)
	}
	return SessionToken(token), s.log(ctx, "", by.Who(), "signed in", how)
}

// Session returns who the bearer of a session's token is. [ErrNotFound] when
// there is no such session, or none any more.
func (s *Service) Session(ctx context.Context, token SessionToken) (Session, error) {
	if token == "" {
		return Session{}, ErrNotFound
	}
	found, err := s.store.Session(ctx, hash(token))
	if err != nil {
		return Session{}, err
	}
	if !s.now().Before(found.Expires) {
		return Session{}, ErrNotFound
	}
	return found, nil
}

// SignedIn reports whether token is a session of the lead that has not ended.
func (s *Service) SignedIn(ctx context.Context, token SessionToken) (bool, error) {
	found, err := s.Session(ctx, token)
	if isMissing(err) {
		return false, nil
	}
	return err == nil && found.Role == RoleLead, err
}

// SignOut ends a session.
func (s *Service) SignOut(ctx context.Context, token string) error {
	by, err := s.Session(ctx, SessionToken(token))
	if isMissing(err) {
		return nil
	}
	if err != nil {
		return err
	}
	if err := s.store.DeleteSession(ctx, hash(token)); err != nil {
		return err
	}
	return s.log(ctx, by.StudyID, by.Who(), "signed out", "")
}

// SignedInElsewhere returns when the other sessions of whoever token is signed in as began
// that go on, the last first. [ErrRefused] for roles without a password.
func (s *Service) SignedInElsewhere(ctx context.Context, token SessionToken) ([]time.Time, error) {
	by, err := s.sessionToKeep(ctx, token)
	if err != nil {
		return nil, err
	}
	others, err := s.store.SessionsOf(ctx, by.UserID, hash(token), s.now())
	var began []time.Time
	for _, o := range others {
		began = append(began, o.Expires.Add(-SessionLength))
	}
	return began, err
}

// SignOutElsewhere ends all sessions of whoever token is signed in as but this one.
// [ErrRefused] for roles without a password.
func (s *Service) SignOutElsewhere(ctx context.Context, token SessionToken) error {
	by, err := s.sessionToKeep(ctx, token)
	if err != nil {
		return err
	}
	return s.store.DeleteSessionsOf(ctx, by.UserID, hash(token),
		s.event("", by.Who(), "signed out everywhere else", ""))
}

// SetLanguage sets in which language whoever token is signed in as reads pages, "" for as the
// browser asks. [ErrBadValue] when pages are not in it, [ErrRefused] for roles without a password.
func (s *Service) SetLanguage(ctx context.Context, token SessionToken, tag string) error {
	by, err := s.sessionToKeep(ctx, token)
	if err != nil {
		return err
	}
	if tag != "" && !slices.Contains(study.Spoken, tag) {
		return ErrBadValue
	}
	return s.store.SetLanguage(ctx, by.UserID, tag)
}

func (s *Service) sessionToKeep(ctx context.Context, token SessionToken) (Session, error) {
	by, err := s.Session(ctx, token)
	if err != nil {
		return Session{}, err
	}
	if by.UserID == "" {
		return Session{}, ErrRefused
	}
	return by, by.may(ActPassword)
}
