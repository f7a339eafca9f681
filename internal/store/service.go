package store

import (
	"context"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

// AppendEvent adds an entry to the log.
func (s *Store) AppendEvent(ctx context.Context, e panel.Event) error {
	return s.writing(ctx, "log event", func(tx *gorm.DB) error {
		return appendEvent(tx, e)
	})
}

func appendEvent(tx *gorm.DB, e panel.Event) error {
	if e.Once != "" {
		act := actRow{StudyID: e.StudyID, ID: e.Once, TakenAt: instant(e.At)}
		made := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&act)
		if made.Error != nil {
			return made.Error
		}
		if made.RowsAffected == 0 {
			return panel.ErrRepeated
		}
	}
	row := rowOfEvent(e)
	return tx.Create(&row).Error
}

// Acted tells whether an act of the staff was taken before.
func (s *Store) Acted(ctx context.Context, studyID panel.StudyID, once string) (bool, error) {
	var n int64
	err := s.reading(ctx, "look for an act", func(db *gorm.DB) error {
		return db.Model(&actRow{}).Where("study_id = ? AND id = ?", studyID, once).Count(&n).Error
	})
	return n > 0, err
}

// Events returns the log of a study, or of the service when studyID is "", in the
// order in which the entries came.
func (s *Store) Events(ctx context.Context, studyID panel.StudyID) ([]panel.Event, error) {
	var rows []eventRow
	err := s.reading(ctx, "list events", func(db *gorm.DB) error {
		return db.Order("id").Find(&rows, "study_id = ?", studyID).Error
	})
	return each(rows, eventRow.event), err
}

// Setting returns a setting of the service.
func (s *Store) Setting(ctx context.Context, key string) (string, error) {
	var row settingRow
	err := s.reading(ctx, "read setting", func(db *gorm.DB) error {
		return db.Take(&row, "name = ?", key).Error
	})
	return row.Value, err
}

// SetSetting sets a setting that is not set yet; false when it was set already.
func (s *Store) SetSetting(ctx context.Context, key, value string) (bool, error) {
	var set bool
	err := s.writing(ctx, "write setting", func(tx *gorm.DB) error {
		done := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&settingRow{Name: key, Value: value})
		set = done.RowsAffected == 1
		return done.Error
	})
	return set && err == nil, err
}
