package panel

import (
	"context"
	"crypto/subtle"
)

// TelevisionToken is what the link of a television ends with.
type TelevisionToken string

// TelevisionLink returns the token of the link under which a television shows the board
// of a study. It follows from the service's secret, opens nothing but the counts, and
// needs no signing in: a screen in the room must not be signed in as the lead. For
// lead and partner.
func (s *Service) TelevisionLink(by Session, studyID StudyID) (TelevisionToken, error) {
	if err := by.may(ActWatch); err != nil {
		return "", err
	}
	return TelevisionToken(s.derive("television", string(studyID))), nil
}

// Television returns the board of a study to whoever has its link for a television.
// [ErrNotFound] when the link is another's, [ErrWrongState] unless the study is open.
func (s *Service) Television(ctx context.Context, studyID StudyID, link TelevisionToken) (Live, error) {
	if subtle.ConstantTimeCompare([]byte(link), []byte(s.derive("television", string(studyID)))) != 1 {
		return Live{}, ErrNotFound
	}
	live, err := s.Live(ctx, Session{Role: RolePartner}, studyID)
	if err == nil && live.State != Open {
		err = ErrWrongState
	}
	live.Looks = nil
	live.Decision = "" // the room need not know that more answers change nothing
	live.Strata = nil  // a screen in the room says nothing of who belongs where
	return live, err
}
