package panel

import (
	"context"
	"fmt"
	"sync"
	"time"
	"unicode/utf8"

	"golang.org/x/crypto/bcrypt"
)

// The lead's password and sessions.
const (
	// MinPassword is the shortest password, in characters (NIST SP 800-63B
	// asks for at least 8; a service that guests' phones reach deserves more).
	MinPassword = 10
	// maxPassword is the most that bcrypt reads, in bytes.
	maxPassword = 72
	// SessionLength is how long the lead stays signed in.
	SessionLength = 12 * time.Hour
)

// HasPassword reports whether the lead's password was set.
func (s *Service) HasPassword(ctx context.Context) (bool, error) {
	_, err := s.store.Setting(ctx, "lead-password")
	if isMissing(err) {
		return false, nil
	}
	return err == nil, err
}

// SetPassword sets the lead's password once. [ErrWeak] when it is too short,
// [ErrPasswordSet] when there is one.
func (s *Service) SetPassword(ctx context.Context, password string) error {
	if utf8.RuneCountInString(password) < MinPassword || len(password) > maxPassword {
		return ErrWeak
	}
	digest, err := bcrypt.GenerateFromPassword([]byte(password), bcrypt.DefaultCost)
	if err != nil {
		return fmt.Errorf("hash the password: %w", err)
	}
	set, err := s.store.SetSetting(ctx, "lead-password", string(digest))
	if err != nil {
		return err
	}
	if !set {
		return ErrPasswordSet
	}
	return s.log(ctx, "", "lead", "password set", "")
}

// SignIn checks the lead's password and returns the token of a new session.
// from is the caller's address: after wrong passwords the next try from there
// waits ([ErrSlowDown]).
func (s *Service) SignIn(ctx context.Context, password, from string) (string, error) {
	now := s.now()
	if !s.slow.admits(from, now) {
		return "", ErrSlowDown
	}
	digest, err := s.store.Setting(ctx, "lead-password")
	if err != nil {
		return "", err
	}
	if bcrypt.CompareHashAndPassword([]byte(digest), []byte(password)) != nil {
		s.slow.wrong(from, now)
		return "", ErrPassword
	}
	s.slow.right(from)
	token, err := s.token(32)
	if err != nil {
		return "", err
	}
	if err := s.store.CreateSession(ctx, hash(token), now.Add(SessionLength)); err != nil {
		return "", fmt.Errorf("begin a session: %w", err)
	}
	return token, nil
}

// SignedIn reports whether token is a session of the lead that has not ended.
func (s *Service) SignedIn(ctx context.Context, token string) (bool, error) {
	if token == "" {
		return false, nil
	}
	expires, err := s.store.SessionExpiry(ctx, hash(token))
	if isMissing(err) {
		return false, nil
	}
	return err == nil && s.now().Before(expires), err
}

// SignOut ends a session.
func (s *Service) SignOut(ctx context.Context, token string) error {
	return s.store.DeleteSession(ctx, hash(token))
}

// doorkeeper slows down guessing: after each wrong password the next try from
// the same address has to wait twice as long, from 1 s up to 1 min.
type doorkeeper struct {
	mu    sync.Mutex
	tries map[string]try
}

type try struct {
	wrong int
	until time.Time
}

// maxTries bounds the memory that strangers can take.
const maxTries = 10_000

func newDoorkeeper() *doorkeeper { return &doorkeeper{tries: map[string]try{}} }

func (d *doorkeeper) admits(from string, now time.Time) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return !now.Before(d.tries[from].until)
}

func (d *doorkeeper) wrong(from string, now time.Time) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.tries) >= maxTries {
		for k, t := range d.tries {
			if now.After(t.until) {
				delete(d.tries, k)
			}
		}
	}
	t := d.tries[from]
	t.until = now.Add(min(time.Second<<min(t.wrong, 6), time.Minute))
	t.wrong++
	d.tries[from] = t
}

func (d *doorkeeper) right(from string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	delete(d.tries, from)
}
