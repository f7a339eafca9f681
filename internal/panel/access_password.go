package panel

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"errors"
	"fmt"

	"golang.org/x/crypto/bcrypt"
)

// ChangePassword sets a new password for the role that token is signed in as, and ends
// the role's other sessions. from is the caller's address, as for
// [Service.SignInAs]. [ErrPassword] when current is wrong, [ErrSlowDown] after wrong
// ones, [ErrWeak] when next is too short or too long, [ErrRefused] for roles without a
// password.
func (s *Service) ChangePassword(ctx context.Context, token SessionToken, current, next, from string) error {
	by, err := s.Session(ctx, token)
	if err != nil {
		return err
	}
	if err := by.may(ActPassword); err != nil {
		return err
	}
	if err := s.checkPassword(ctx, by.Role, current, from); err != nil {
		return err
	}
	return s.setPassword(ctx, by.Role, next, hash(token), by.Who(), "password changed")
}

// ResetPassword sets a new password for lead or partner without asking for the old
// one, and ends every session of the role. It is for somebody with access to the
// machine. [ErrWeak] when it is too short or too long, [ErrNotFound] when the role has
// none to set anew.
func (s *Service) ResetPassword(ctx context.Context, r Role, password string) error {
	if _, err := s.store.Setting(ctx, passwordKey(r)); err != nil {
		return err
	}
	return s.setPassword(ctx, r, password, "", "operator", r.String()+"’s password reset on the machine")
}

// setPassword puts a password in the place of a role's; its sessions end, but for the
// one with the hash keep.
func (s *Service) setPassword(ctx context.Context, r Role, password string, keep TokenHash, who, what string) error {
	digest, err := s.digestOf(password)
	if err != nil {
		return err
	}
	if err := s.store.ReplacePassword(ctx, r, passwordKey(r), digest, keep, s.event("", who, what, "")); err != nil {
		return fmt.Errorf("set the password of %s: %w", r, err)
	}
	return nil
}

// checkPassword compares a password with that of a role; after wrong ones the next
// try from an address waits, before any hash is computed. [ErrPassword] when it is
// wrong or the partner has none, [ErrNotFound] when the lead has none, [ErrSlowDown].
func (s *Service) checkPassword(ctx context.Context, r Role, password, from string) error {
	digest, err := s.store.Setting(ctx, passwordKey(r))
	if err != nil && (!errors.Is(err, ErrNotFound) || r == RoleLead) {
		return err
	}
	missing := err != nil
	err = s.slow.attempt(ctx, from, "", func() (bool, error) {
		if missing {
			return false, nil
		}
		right := false
		err := s.slow.hashing(ctx, func() {
			right = bcrypt.CompareHashAndPassword([]byte(digest), []byte(password)) == nil
		})
		return right, err
	})
	if !errors.Is(err, errWrong) {
		return err
	}
	return errors.Join(ErrPassword, s.log(ctx, "", r.String(), "wrong password", "from "+from))
}

// SetupCode is what setting the first password asks for. It follows from the service's
// secret, so that all services on a database say the same.
func (s *Service) SetupCode() string {
	mac := hmac.New(sha256.New, s.secret)
	mac.Write([]byte("set-up code"))
	return idLetters.EncodeToString(mac.Sum(nil)[:10])
}
