package panel

import (
	"context"
	"fmt"
	"time"
)

// InvitationLength is how long an invitation may be accepted.
const InvitationLength = 7 * 24 * time.Hour

// InvitePartner returns the token of a one-time link on which the partner
// chooses a password. An earlier invitation ends. Lead only.
func (s *Service) InvitePartner(ctx context.Context, by Session) (InvitationToken, error) {
	if err := by.may(ActInvite); err != nil {
		return "", err
	}
	token, err := s.token(24)
	if err != nil {
		return "", err
	}
	expires := s.now().Add(InvitationLength)
	err = s.store.Invite(ctx, RolePartner, hash(token), expires, s.event("", by.Who(), "partner invited", ""))
	if err != nil {
		return "", fmt.Errorf("invite the partner: %w", err)
	}
	return InvitationToken(token), nil
}

// Invited reports whether an invitation can be accepted: [ErrNotFound] when it was
// used, ended or never made.
func (s *Service) Invited(ctx context.Context, token InvitationToken) error {
	_, expires, err := s.store.Invitation(ctx, hash(token))
	if err != nil {
		return err
	}
	if !s.now().Before(expires) {
		return ErrNotFound
	}
	return nil
}

// AcceptInvitation sets the partner's password and uses up the invitation. The
// partner's sessions end, so that a new invitation also shuts out who knows the
// old password. [ErrWeak] and [ErrNotFound] as they say.
func (s *Service) AcceptInvitation(ctx context.Context, token InvitationToken, password string) error {
	if err := s.Invited(ctx, token); err != nil {
		return err
	}
	digest, err := s.digestOf(password)
	if err != nil {
		return err
	}
	now := s.now()
	return s.store.AcceptInvitation(ctx, hash(token), passwordKey(RolePartner), digest, now,
		s.event("", RolePartner.String(), "password set", ""))
}

// HasPartner reports whether the partner has a password.
func (s *Service) HasPartner(ctx context.Context) (bool, error) {
	_, err := s.store.Setting(ctx, passwordKey(RolePartner))
	if isMissing(err) {
		return false, nil
	}
	return err == nil, err
}

// EndPartner takes the partner's password, invitation and sessions away. Lead only.
func (s *Service) EndPartner(ctx context.Context, by Session) error {
	if err := by.may(ActInvite); err != nil {
		return err
	}
	return s.store.EndAccount(ctx, RolePartner, passwordKey(RolePartner), s.event("", by.Who(), "partner removed", ""))
}
