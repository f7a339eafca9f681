package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

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
	if e.ActID != "" {
		act := actRow{StudyID: e.StudyID, ID: e.ActID, TakenAt: instant(e.At)}
		made := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&act)
		if made.Error != nil {
			return made.Error
		}
		if made.RowsAffected == 0 {
			return panel.ErrRepeated
		}
	}
	e.At = instant(e.At) // what is kept is what is hashed
	// Counted before it is read: whoever else writes to this log waits for the row.
	var end logEndRow
	err := tx.Raw(`INSERT INTO log_ends (study_id, number, hash) VALUES (?, 1, '')
		ON CONFLICT (study_id) DO UPDATE SET number = log_ends.number + 1 RETURNING number, hash`,
		e.StudyID).Scan(&end).Error
	if err != nil {
		return err
	}
	entry, after := panel.LogEnd{Number: end.Number - 1, Hash: end.Hash}.Next(e)
	row := rowOfEntry(entry)
	if err := tx.Create(&row).Error; err != nil {
		return err
	}
	return tx.Model(&logEndRow{}).Where("study_id = ?", e.StudyID).Update("hash", after.Hash).Error
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
		return db.Order("number").Find(&rows, "study_id = ?", studyID).Error
	})
	return each(rows, eventRow.event), err
}

// Entries returns the log of a study, or of the service when studyID is "", by number, and
// its end, both of one moment.
func (s *Store) Entries(ctx context.Context, studyID panel.StudyID) ([]panel.Entry, panel.LogEnd, error) {
	var entries []panel.Entry
	var end panel.LogEnd
	err := s.snapshot(ctx, func(tx *sql.Tx) (err error) {
		entries, end, err = entriesOf(ctx, tx, studyID)
		return err
	})
	if err != nil {
		return nil, panel.LogEnd{}, fmt.Errorf("read the log: %w", translated(err))
	}
	return entries, end, nil
}

func entriesOf(ctx context.Context, tx queryer, studyID panel.StudyID) (entries []panel.Entry, end panel.LogEnd,
	err error) {
	err = tx.QueryRowContext(ctx, "SELECT number, hash FROM log_ends WHERE study_id = $1", studyID).
		Scan(&end.Number, &end.Hash)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return nil, end, err
	}
	rows, err := tx.QueryContext(ctx, "SELECT study_id, number, at, who, what, detail, before, hash FROM events "+
		"WHERE study_id = $1 ORDER BY number", studyID)
	if err != nil {
		return nil, end, err
	}
	defer rows.Close()
	for rows.Next() {
		var r eventRow
		if err := rows.Scan(&r.StudyID, &r.Number, &r.At, &r.Who, &r.What, &r.Detail, &r.Before, &r.Hash); err != nil {
			return nil, end, err
		}
		entries = append(entries, r.entry())
	}
	return entries, end, rows.Err()
}

// Logs returns the studies that have a log or should have one; that of the service, "", is first.
func (s *Store) Logs(ctx context.Context) ([]panel.StudyID, error) {
	var all []panel.StudyID
	err := s.reading(ctx, "list logs", func(db *gorm.DB) error {
		return db.Raw(`SELECT '' AS id UNION SELECT id FROM studies UNION SELECT study_id FROM events
			UNION SELECT study_id FROM log_ends ORDER BY id`).Scan(&all).Error
	})
	return all, err
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
