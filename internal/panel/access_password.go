package panel

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"errors"
	"fmt"

	"golang.org/x/crypto/bcrypt"
)

// ChangePassword sets a new password for the user that token is signed in as, and ends
// their other sessions. from is the caller's address, as for
// [Service.SignInAs]. [ErrPassword] when current is wrong, [ErrSlowDown] after wrong
// ones, [ErrWeak] when next is too short or too long, [ErrRefused] for who is no user.
func (s *Service) ChangePassword(ctx context.Context, token SessionToken, current, next, from string) error {
	by, err := s.sessionToKeep(ctx, token)
	if err != nil {
		return err
	}
	u, err := s.store.User(ctx, by.UserID)
	if err != nil {
		return err
	}
	if err := s.checkPassword(ctx, u, current, from); err != nil {
		return err
	}
	return s.setPassword(ctx, u, next, hash(token), by.Who(), "password changed")
}

// ResetPassword sets a new password for the user who has a name, for the owner when it is "",
// without asking for the old one, and ends their sessions and passkeys. It is for somebody with
// access to the machine. [ErrWeak] when it is too short or too long, [ErrNotFound] when there is
// no such user.
func (s *Service) ResetPassword(ctx context.Context, name, password string) (User, error) {
	u, err := s.store.Owner(ctx)
	if name != "" {
		u, err = s.store.UserNamed(ctx, name)
	}
	if err != nil {
		return User{}, err
	}
	return u, s.setPassword(ctx, u, password, "", "operator", u.Name+"’s password reset on the machine")
}

// setPassword puts a password in the place of a user's; their sessions end, but for the
// one with the hash keep.
func (s *Service) setPassword(ctx context.Context, u User, password string, keep TokenHash, who, what string) error {
	digest, err := s.digestOf(password)
	if err != nil {
		return err
	}
	if err := s.store.ReplacePassword(ctx, u.ID, digest, keep, s.event("", who, what, "")); err != nil {
		return fmt.Errorf("set the password of %s: %w", u.nameInLog(), err)
	}
	return nil
}

// checkPassword compares a password with that of a user; after wrong ones the next
// try from an address waits, before any hash is computed. Where there is no such user, or no
// password, it takes as long. [ErrPassword] when it is wrong or there is none, [ErrSlowDown].
func (s *Service) checkPassword(ctx context.Context, u User, password, from string) error {
	err := s.slow.attempt(ctx, from, "", func() (bool, error) {
		right := false
		err := s.slow.hashing(ctx, func() {
			digest := u.Digest
			if digest == "" {
				digest = s.noDigest()
			}
			right = bcrypt.CompareHashAndPassword([]byte(digest), []byte(password)) == nil && u.Digest != ""
		})
		return right, err
	})
	if !errors.Is(err, errWrong) {
		return err
	}
	who := "somebody"
	if u.ID != "" { // what was typed for a name may be a password
		who = u.nameInLog()
	}
	return errors.Join(ErrPassword, s.log(ctx, "", who, "wrong password", "from "+from))
}

// SetupCode is what setting the first password asks for. It follows from the service's
// secret, so that all services on a database say the same.
func (s *Service) SetupCode() string {
	mac := hmac.New(sha256.New, s.secret)
	mac.Write([]byte("set-up code"))
	return idLetters.EncodeToString(mac.Sum(nil)[:10])
}
