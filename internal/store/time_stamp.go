package store

import (
	"context"
	"database/sql"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

type timeStampRow struct {
	StudyID     panel.StudyID `gorm:"primaryKey"`
	Request     []byte
	RequestedAt time.Time
	Answer      []byte
	AnsweredAt  sql.NullTime
}

func (timeStampRow) TableName() string { return "time_stamps" }

// RequestStamp keeps the request for a time stamp; the one that is there stays.
func (s *Store) RequestStamp(ctx context.Context, id panel.StudyID, request []byte, at time.Time,
	e panel.Event) error {
	return s.writing(ctx, "request time stamp", func(tx *gorm.DB) error {
		if err := requireState(tx, id, panel.Locked, panel.Open, panel.Closed); err != nil {
			return err
		}
		made := tx.Clauses(clause.OnConflict{DoNothing: true}).
			Create(&timeStampRow{StudyID: id, Request: request, RequestedAt: instant(at)})
		if made.Error != nil || made.RowsAffected == 0 {
			return made.Error
		}
		if err := noExport(tx, id); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// KeepStamp keeps the answer of an authority, once.
func (s *Store) KeepStamp(ctx context.Context, id panel.StudyID, answer []byte, at time.Time, e panel.Event) error {
	return s.writing(ctx, "keep time stamp", func(tx *gorm.DB) error {
		if err := requireState(tx, id, panel.Locked, panel.Open, panel.Closed); err != nil {
			return err
		}
		kept := tx.Model(&timeStampRow{}).Where("study_id = ? AND answer IS NULL", id).
			Updates(timeStampRow{Answer: answer, AnsweredAt: instantOrNull(at)})
		switch {
		case kept.Error != nil:
			return kept.Error
		case kept.RowsAffected == 0:
			return panel.ErrWrongState
		}
		if err := noExport(tx, id); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// TimeStamp returns the request for a time stamp and its answer.
func (s *Store) TimeStamp(ctx context.Context, id panel.StudyID) (panel.TimeStamp, error) {
	var row timeStampRow
	err := s.reading(ctx, "read time stamp", func(db *gorm.DB) error {
		return db.Take(&row, "study_id = ?", id).Error
	})
	if err != nil {
		return panel.TimeStamp{}, err
	}
	return panel.TimeStamp{Request: row.Request, RequestedAt: row.RequestedAt.UTC(), Answer: row.Answer,
		AnsweredAt: timeOrZero(row.AnsweredAt)}, nil
}
