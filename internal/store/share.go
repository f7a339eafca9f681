package store

import (
	"context"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

// sharedRow is a study whose report is shared.
type sharedRow struct {
	StudyID panel.StudyID `gorm:"primaryKey"`
	EndsAt  time.Time
}

func (sharedRow) TableName() string { return "shared_reports" }

// ShareReport shares the report of a closed study, in the place of an earlier sharing.
func (s *Store) ShareReport(ctx context.Context, id panel.StudyID, ends time.Time, e panel.Event) error {
	return s.writing(ctx, "share report", func(tx *gorm.DB) error {
		row, err := lockStudy(tx, id, lockState)
		if err != nil {
			return err
		}
		if row.State != panel.Closed.String() {
			return panel.ErrWrongState
		}
		err = tx.Clauses(clause.OnConflict{
			Columns:   []clause.Column{{Name: "study_id"}},
			DoUpdates: clause.AssignmentColumns([]string{"ends_at"}),
		}).Create(&sharedRow{StudyID: id, EndsAt: instant(ends)}).Error
		if err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// SharedUntil returns when the sharing of a report ends, also when that is past.
func (s *Store) SharedUntil(ctx context.Context, id panel.StudyID) (time.Time, error) {
	var row sharedRow
	err := s.reading(ctx, "find shared report", func(db *gorm.DB) error {
		return db.Take(&row, "study_id = ?", id).Error
	})
	return row.EndsAt.UTC(), err
}

// EndSharing takes the link of a report back; where there is none, nothing is logged.
func (s *Store) EndSharing(ctx context.Context, id panel.StudyID, e panel.Event) error {
	return s.writing(ctx, "end sharing", func(tx *gorm.DB) error {
		switch row, err := lockStudy(tx, id, lockState); {
		case err != nil:
			return err
		case row.State != panel.Closed.String():
			return panel.ErrWrongState
		}
		ended := tx.Delete(&sharedRow{}, "study_id = ?", id)
		if ended.Error != nil || ended.RowsAffected == 0 {
			return ended.Error
		}
		return appendEvent(tx, e)
	})
}
