package panel

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"
)

const (
	// MaxPasskeys is how many passkeys a user may have.
	MaxPasskeys = 10
	// MaxPasskeyName is the longest name of a passkey, in characters.
	MaxPasskeyName = 60
	// ChallengeLength is how long a page that asks for a passkey may stay open.
	ChallengeLength = 15 * time.Minute
)

// Passkey is a key that somebody's device keeps and with which a user signs in beside the
// password. What is kept of it is public.
type Passkey struct {
	ID         string // the credential's, in base64url
	UserID     UserID
	Name       string // in its owner's words
	Credential string // as the library that checks it writes it, with the counter
	Added      time.Time
	Used       time.Time // zero until it was
	Asked      time.Time // when the challenge was made that it answered last; an older one counts no more
}

// ErrPasskey says that a passkey is not one that signs in: it is not known, its answer does
// not fit, or it was given before.
var ErrPasskey = errors.New("this passkey does not sign in here")

// ErrTooMany says that there are as many of something as there may be.
var ErrTooMany = errors.New("there are too many")

// Challenge is what a passkey has to answer for a purpose. It holds when it was made and is
// sealed with the service's secret, so that nothing is kept of it and any service on the
// database can check it.
func (s *Service) Challenge(purpose string) ([]byte, error) {
	c := make([]byte, 24, 24+sha256.Size)
	if _, err := io.ReadFull(s.random, c[:16]); err != nil {
		return nil, err
	}
	binary.BigEndian.PutUint64(c[16:], uint64(s.now().UnixMicro()))
	return append(c, s.sealOf(c, purpose)...), nil
}

// ChallengeMade returns when a challenge was made; [ErrPasskey] when it is none of ours for
// that purpose, [ErrStale] when it is too old.
func (s *Service) ChallengeMade(challenge []byte, purpose string) (time.Time, error) {
	if len(challenge) != 24+sha256.Size || !hmac.Equal(challenge[24:], s.sealOf(challenge[:24], purpose)) {
		return time.Time{}, ErrPasskey
	}
	made := time.UnixMicro(int64(binary.BigEndian.Uint64(challenge[16:24]))).UTC()
	if s.now().Sub(made) > ChallengeLength {
		return time.Time{}, ErrStale
	}
	return made, nil
}

func (s *Service) sealOf(c []byte, purpose string) []byte {
	mac := hmac.New(sha256.New, s.secret)
	mac.Write([]byte("passkey " + purpose + "\x00"))
	mac.Write(c)
	return mac.Sum(nil)
}

// PasskeyOwner is the name by which devices know a user here: it says nothing.
func (s *Service) PasskeyOwner(id UserID) []byte {
	return []byte(s.derive("passkey owner", string(id)))
}

// Passkeys returns those of whoever token is signed in as, the oldest first. [ErrRefused]
// for who is no user.
func (s *Service) Passkeys(ctx context.Context, token SessionToken) ([]Passkey, error) {
	by, err := s.sessionToKeep(ctx, token)
	if err != nil {
		return nil, err
	}
	return s.store.Passkeys(ctx, by.UserID)
}

// HasPasskeys reports whether anybody can sign in with one.
func (s *Service) HasPasskeys(ctx context.Context) (bool, error) { return s.store.HasPasskeys(ctx) }

// AddPasskey keeps a passkey that was checked, for the user that token is signed in as, who
// says the password once more: a session that was left open is not enough. [ErrPassword],
// [ErrSlowDown]; [ErrBadValue] without a name, [ErrTooMany], [ErrRefused].
func (s *Service) AddPasskey(ctx context.Context, token SessionToken, p Passkey, password, from string) error {
	by, err := s.sessionToKeep(ctx, token)
	if err != nil {
		return err
	}
	p.Name = strings.TrimSpace(p.Name)
	if n := utf8.RuneCountInString(p.Name); n == 0 || n > MaxPasskeyName {
		return fmt.Errorf("%w: a passkey has a name of at most %d characters", ErrBadValue, MaxPasskeyName)
	}
	u, err := s.store.User(ctx, by.UserID)
	if err != nil {
		return err
	}
	if err := s.checkPassword(ctx, u, password, from); err != nil {
		return err
	}
	p.UserID, p.Added = u.ID, s.now()
	return s.store.AddPasskey(ctx, p, MaxPasskeys, s.event("", by.Who(), "passkey added", p.Name))
}

// RemovePasskey takes one away of the user that token is signed in as. Sessions that
// began with it go on: [Service.SignOutElsewhere] ends them.
func (s *Service) RemovePasskey(ctx context.Context, token SessionToken, id string) error {
	by, err := s.sessionToKeep(ctx, token)
	if err != nil {
		return err
	}
	return s.store.RemovePasskey(ctx, by.UserID, id, s.event("", by.Who(), "passkey removed", ""))
}

// SignInWithPasskey returns the token of a new session for the user whose passkey has an id.
// check looks at the answer to a challenge that was made at made, and returns the passkey with
// its counter as it is now. An answer counts once: what was made no later than the last one
// is refused. [ErrPasskey], and [ErrSlowDown] after some of these from the same address.
func (s *Service) SignInWithPasskey(ctx context.Context, id string, made time.Time, from string,
	check func(Passkey) (Passkey, error)) (SessionToken, error) {
	var p Passkey
	err := s.slow.attempt(ctx, from, "", func() (bool, error) {
		kept, err := s.store.Passkey(ctx, id)
		if isMissing(err) {
			return false, nil
		}
		if err != nil {
			return false, err
		}
		if p, err = check(kept); err != nil {
			return false, nil
		}
		p.Used, p.Asked = s.now(), made
		err = s.store.UsePasskey(ctx, p)
		return err == nil, ignoring(err, ErrPasskey)
	})
	if errors.Is(err, errWrong) {
		return "", errors.Join(ErrPasskey, s.log(ctx, "", "somebody", "passkey refused", "from "+from))
	}
	if err != nil {
		return "", err
	}
	u, err := s.store.User(ctx, p.UserID)
	if err != nil {
		return "", err
	}
	return s.beginSession(ctx, u, "with the passkey “"+p.Name+"”, from "+from)
}

func ignoring(err, what error) error {
	if errors.Is(err, what) {
		return nil
	}
	return err
}
