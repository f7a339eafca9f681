package store

import (
	"context"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

// AppendEvent adds an entry to the log.
func (s *Store) AppendEvent(ctx context.Context, e panel.Event) error {
	return s.change(ctx, "log event", func(tx *gorm.DB) error {
		row := rowOfEvent(e)
		return tx.Create(&row).Error
	})
}

// Events returns the log of a study, or of the service when studyID is "", in the
// order in which the entries came.
func (s *Store) Events(ctx context.Context, studyID string) ([]panel.Event, error) {
	var rows []eventRow
	err := s.look(ctx, "list events", func(db *gorm.DB) error {
		return db.Order("id").Find(&rows, "study_id = ?", studyID).Error
	})
	return each(rows, eventRow.event), err
}

// Setting returns a setting of the service.
func (s *Store) Setting(ctx context.Context, key string) (string, error) {
	var row settingRow
	err := s.look(ctx, "read setting", func(db *gorm.DB) error {
		return db.Take(&row, "name = ?", key).Error
	})
	return row.Value, err
}

// SetSetting sets a setting that is not set yet; false when it was set already.
func (s *Store) SetSetting(ctx context.Context, key, value string) (bool, error) {
	var set bool
	err := s.change(ctx, "write setting", func(tx *gorm.DB) error {
		done := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&settingRow{Name: key, Value: value})
		set = done.RowsAffected == 1
		return done.Error
	})
	return set && err == nil, err
}

// CreateSession keeps the session of a signed-in lead.
func (s *Store) CreateSession(ctx context.Context, tokenHash string, expires time.Time) error {
	return s.change(ctx, "create session", func(tx *gorm.DB) error {
		return tx.Create(&sessionRow{TokenHash: tokenHash, ExpiresAt: instant(expires)}).Error
	})
}

// SessionExpiry returns when a session ends.
func (s *Store) SessionExpiry(ctx context.Context, tokenHash string) (time.Time, error) {
	var row sessionRow
	err := s.look(ctx, "read session", func(db *gorm.DB) error {
		return db.Take(&row, "token_hash = ?", tokenHash).Error
	})
	if err != nil {
		return time.Time{}, err
	}
	return row.ExpiresAt.UTC(), nil
}

// DeleteSession ends a session; one that has ended already is no error.
func (s *Store) DeleteSession(ctx context.Context, tokenHash string) error {
	return s.change(ctx, "end session", func(tx *gorm.DB) error {
		return tx.Delete(&sessionRow{}, "token_hash = ?", tokenHash).Error
	})
}
