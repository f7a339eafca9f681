package store

import (
	"context"
	"errors"
	"time"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// Lend keeps the session of the house's tablet, and ends others for its seat.
func (s *Store) Lend(ctx context.Context, tokenHash panel.TokenHash, session panel.Session, now time.Time,
	e panel.Event) error {
	return s.writing(ctx, "lend the tablet", func(tx *gorm.DB) error {
		row := rowOfSession(tokenHash, session)
		return errors.Join(
			tx.Delete(&sessionRow{}, "expires_at <= ?", instant(now)).Error,
			tx.Delete(&sessionRow{}, "assessor_id = ?", session.Seat).Error,
			tx.Create(&row).Error,
			appendEvent(tx, e))
	})
}

// LentSeat returns the hash of the personal link of the seat that a tablet's session is for.
func (s *Store) LentSeat(ctx context.Context, tokenHash panel.TokenHash, now time.Time) (panel.TokenHash, error) {
	var a assessorRow
	err := s.reading(ctx, "find the seat of a tablet", func(db *gorm.DB) error {
		return db.Select("assessors.token_hash").Joins("JOIN sessions ON sessions.assessor_id = assessors.id").
			Take(&a, "sessions.token_hash = ? AND sessions.role = ? AND sessions.expires_at > ?", tokenHash,
				panel.RoleTablet.String(), instant(now)).Error
	})
	return a.TokenHash, err
}

// Lent returns the seats of a sitting whose ballots tablets show.
func (s *Store) Lent(ctx context.Context, sittingID panel.SittingID, now time.Time) (seats []panel.AssessorID,
	err error) {
	err = s.reading(ctx, "find tablets", func(db *gorm.DB) error {
		return db.Model(&sessionRow{}).Where("sitting_id = ? AND role = ? AND expires_at > ?", sittingID,
			panel.RoleTablet.String(), instant(now)).Pluck("assessor_id", &seats).Error
	})
	return seats, err
}

// EndLoan ends the sessions of tablets for a seat.
func (s *Store) EndLoan(ctx context.Context, seatID panel.AssessorID, e panel.Event) error {
	return s.writing(ctx, "take the tablet back", func(tx *gorm.DB) error {
		ended := tx.Delete(&sessionRow{}, "assessor_id = ? AND role = ?", seatID, panel.RoleTablet.String())
		if ended.Error != nil {
			return ended.Error
		}
		if ended.RowsAffected == 0 {
			return panel.ErrNotFound
		}
		return appendEvent(tx, e)
	})
}
