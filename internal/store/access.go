package store

import (
	"context"
	"errors"
	"strconv"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

// CreateSession keeps a session and deletes those that have expired.
func (s *Store) CreateSession(ctx context.Context, tokenHash panel.TokenHash, session panel.Session,
	now time.Time,
) error {
	return s.writing(ctx, "create session", func(tx *gorm.DB) error {
		if err := tx.Delete(&sessionRow{}, "expires_at <= ?", instant(now)).Error; err != nil {
			return err
		}
		row := rowOfSession(tokenHash, session)
		return tx.Create(&row).Error
	})
}

// Session returns a session, whether it has expired or not; a user's with their role, name and language.
func (s *Store) Session(ctx context.Context, tokenHash panel.TokenHash) (panel.Session, error) {
	var row sessionRow
	var u userRow
	err := s.reading(ctx, "read session", func(db *gorm.DB) error {
		if err := db.Take(&row, "token_hash = ?", tokenHash).Error; err != nil || row.UserID == "" {
			return err
		}
		return db.Take(&u, "id = ?", row.UserID).Error
	})
	session := row.session()
	if row.UserID != "" {
		session.Role, session.Label, session.Language = panel.RoleOf(u.Role), u.Name, u.Language
		session.House, session.Owner = session.Role, u.Owner
	}
	return session, err
}

// DeleteSession ends a session; one that has ended already is no error.
func (s *Store) DeleteSession(ctx context.Context, tokenHash panel.TokenHash) error {
	return s.writing(ctx, "end session", func(tx *gorm.DB) error {
		return tx.Delete(&sessionRow{}, "token_hash = ?", tokenHash).Error
	})
}

// SessionsOf returns the sessions of a user that have not expired, but for one.
func (s *Store) SessionsOf(ctx context.Context, id panel.UserID, but panel.TokenHash, now time.Time,
) ([]panel.Session, error) {
	var rows []sessionRow
	err := s.reading(ctx, "read sessions", func(db *gorm.DB) error {
		return db.Order("expires_at DESC").Find(&rows, "user_id = ? AND token_hash <> ? AND expires_at > ?",
			id, but, instant(now)).Error
	})
	return each(rows, sessionRow.session), err
}

// DeleteSessionsOf ends the sessions of a user, but for one.
func (s *Store) DeleteSessionsOf(ctx context.Context, id panel.UserID, but panel.TokenHash, e panel.Event) error {
	return s.writing(ctx, "end sessions", func(tx *gorm.DB) error {
		return errors.Join(deleteSessionsOf(tx, id, but), appendEvent(tx, e))
	})
}

func deleteSessionsOf(tx *gorm.DB, id panel.UserID, but panel.TokenHash) error {
	return tx.Delete(&sessionRow{}, "user_id = ? AND token_hash <> ?", id, but).Error
}

// StaffLink returns the link of a role at a sitting; the first call makes it.
func (s *Store) StaffLink(ctx context.Context, sittingID panel.SittingID, r panel.Role, tokenHash panel.TokenHash,
) (panel.StaffLink, error) {
	var row staffLinkRow
	err := s.writing(ctx, "make staff link", func(tx *gorm.DB) error {
		row = staffLinkRow{TokenHash: tokenHash, SittingID: sittingID, Role: r.String()}
		if err := tx.Select("id").Take(&sittingRow{}, "id = ?", sittingID).Error; err != nil {
			return err
		}
		if err := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&row).Error; err != nil {
			return err
		}
		row = staffLinkRow{}
		return tx.Take(&row, "sitting_id = ? AND role = ?", sittingID, r.String()).Error
	})
	return row.link(), err
}

// StaffLinkByToken returns the link that a token belongs to.
func (s *Store) StaffLinkByToken(ctx context.Context, tokenHash panel.TokenHash) (panel.StaffLink, error) {
	var row staffLinkRow
	err := s.reading(ctx, "find staff link", func(db *gorm.DB) error {
		return db.Take(&row, "token_hash = ?", tokenHash).Error
	})
	return row.link(), err
}

// RenewStaffLink counts a renewal, gives the link the token that goes with it and ends the sessions that came
// through the old one.
func (s *Store) RenewStaffLink(
	ctx context.Context, sittingID panel.SittingID, r panel.Role, tokenHash func(renewals int) panel.TokenHash,
	e panel.Event,
) (panel.StaffLink, error) {
	var row staffLinkRow
	err := s.writing(ctx, "renew staff link", func(tx *gorm.DB) error {
		row = staffLinkRow{}
		// Changed before it is read: the change waits for somebody who is joining.
		err := tx.Model(&staffLinkRow{}).Where("sitting_id = ? AND role = ?", sittingID, r.String()).
			Update("renewals", gorm.Expr("renewals + 1")).Error
		if err != nil {
			return err
		}
		if err := tx.Take(&row, "sitting_id = ? AND role = ?", sittingID, r.String()).Error; err != nil {
			return err
		}
		row.TokenHash = tokenHash(row.Renewals)
		err = tx.Model(&staffLinkRow{}).Where("sitting_id = ? AND role = ?", sittingID, r.String()).Update("token_hash",
			row.TokenHash).Error
		if err != nil {
			return err
		}
		if err := tx.Delete(&sessionRow{}, "sitting_id = ? AND role = ?", sittingID, r.String()).Error; err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
	return row.link(), err
}

// JoinStaff makes a session at a link and numbers it; the number follows Who in e.
func (s *Store) JoinStaff(ctx context.Context, tokenHash panel.TokenHash, renewals int, sessionHash panel.TokenHash,
	session panel.Session, e panel.Event) (panel.Session, error) {
	err := s.writing(ctx, "join staff", func(tx *gorm.DB) error {
		counted := tx.Model(&staffLinkRow{}).Where("token_hash = ? AND renewals = ?", tokenHash, renewals).
			Update("joined", gorm.Expr("joined + 1"))
		if counted.Error != nil {
			return counted.Error
		}
		if counted.RowsAffected == 0 {
			return panel.ErrCode
		}
		var link staffLinkRow
		if err := tx.Take(&link, "token_hash = ?", tokenHash).Error; err != nil {
			return err
		}
		session.Label = strconv.Itoa(link.Joined)
		row := rowOfSession(sessionHash, session)
		if err := tx.Create(&row).Error; err != nil {
			return err
		}
		logged := e
		logged.Who = session.Who()
		return appendEvent(tx, logged)
	})
	return session, err
}
