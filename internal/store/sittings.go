package store

import (
	"context"
	"errors"
	"slices"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

// sittingColumns reads a sitting with its count of people who declined.
const sittingColumns = `sittings.*,
	(SELECT COUNT(*) FROM declines WHERE declines.sitting_id = sittings.id) AS declined`

// PrepareSittings adds sittings that nobody can taste at yet, and logs e. One that
// is there stays as it is.
func (s *Store) PrepareSittings(ctx context.Context, studyID panel.StudyID, sittings []panel.Sitting,
	e panel.Event) error {
	return s.writing(ctx, "prepare sittings", func(tx *gorm.DB) error {
		if err := mayOpen(tx, studyID); err != nil {
			return err
		}
		rows := each(sittings, rowOfSitting)
		created := tx.Clauses(clause.OnConflict{
			Columns: []clause.Column{{Name: "study_id"}, {Name: "number"}}, DoNothing: true,
		}).Create(&rows)
		if created.Error != nil || created.RowsAffected == 0 {
			return created.Error
		}
		return appendEvent(tx, e)
	})
}

// OpenSitting opens a sitting, sets its study open and logs e.
func (s *Store) OpenSitting(ctx context.Context, sitting panel.Sitting, e panel.Event) error {
	return s.writing(ctx, "open sitting", func(tx *gorm.DB) error {
		if err := mayOpen(tx, sitting.StudyID); err != nil {
			return err
		}
		if err := openRow(tx, rowOfSitting(sitting)); err != nil {
			return err
		}
		if err := updateStudy(tx, sitting.StudyID, studyRow{State: panel.Open.String()}, "State",
			"ExportedAt"); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// openRow opens the sitting of a number, and adds it when it was not prepared.
func openRow(tx *gorm.DB, sitting sittingRow) error {
	var kept sittingRow
	err := tx.Take(&kept, "study_id = ? AND number = ?", sitting.StudyID, sitting.Number).Error
	switch {
	case errors.Is(err, gorm.ErrRecordNotFound):
		return tx.Create(&sitting).Error
	case err != nil:
		return err
	case kept.OpenedAt.Valid:
		return panel.ErrWrongState
	}
	return noteRow(tx, &sittingRow{}, string(kept.ID), map[string]any{"opened_at": sitting.OpenedAt})
}

// mayOpen checks that a study can have another sitting beside its other versions.
func mayOpen(tx *gorm.DB, studyID panel.StudyID) error {
	versions, err := lockSeries(tx, studyID)
	if err != nil {
		return err
	}
	if err := requireState(tx, studyID, panel.Locked, panel.Open); err != nil {
		return err
	}
	this := slices.IndexFunc(versions, func(v studyRow) bool { return v.ID == studyID })
	if versions[this].State == panel.Open.String() {
		return nil
	}
	for i, v := range versions {
		switch {
		case i < this && v.State == panel.Open.String():
			return panel.ErrEarlierOpen
		case i > this && v.State != panel.Draft.String():
			return panel.ErrAmended
		}
	}
	return nil
}

// Sittings returns the sittings of a study by number.
func (s *Store) Sittings(ctx context.Context, studyID panel.StudyID) ([]panel.Sitting, error) {
	var rows []sittingRow
	err := s.reading(ctx, "list sittings", func(db *gorm.DB) error {
		return db.Select(sittingColumns).Order("number").Find(&rows, "study_id = ?", studyID).Error
	})
	return each(rows, sittingRow.sitting), err
}

// SittingByJoin returns the sitting that a join link leads to.
func (s *Store) SittingByJoin(ctx context.Context, join panel.JoinToken) (panel.Sitting, error) {
	var row sittingRow
	err := s.reading(ctx, "find sitting", func(db *gorm.DB) error {
		return db.Select(sittingColumns).Take(&row, "join_token = ?", join).Error
	})
	return row.sitting(), err
}

// Sitting returns a sitting by its id.
func (s *Store) Sitting(ctx context.Context, id panel.SittingID) (panel.Sitting, error) {
	var row sittingRow
	err := s.reading(ctx, "read sitting", func(db *gorm.DB) error {
		return db.Select(sittingColumns).Take(&row, "id = ?", id).Error
	})
	return row.sitting(), err
}

// AskWord notes whether everybody who joins a sitting says the word of the evening.
func (s *Store) AskWord(ctx context.Context, sittingID panel.SittingID, ask bool, e panel.Event) error {
	return s.writing(ctx, "ask for the word", func(tx *gorm.DB) error {
		var sitting sittingRow
		if err := tx.Select("study_id").Take(&sitting, "id = ?", sittingID).Error; err != nil {
			return err
		}
		if err := requireState(tx, sitting.StudyID, panel.Locked, panel.Open); err != nil {
			return err
		}
		if err := noteRow(tx, &sittingRow{}, string(sittingID), map[string]any{"ask_word": ask}); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// ReleaseWave notes up to which wave the plates of a sitting may go out; it never goes back.
func (s *Store) ReleaseWave(ctx context.Context, sittingID panel.SittingID, wave int, e panel.Event) error {
	return s.writing(ctx, "release a wave", func(tx *gorm.DB) error {
		var sitting sittingRow
		if err := tx.Select("study_id").Take(&sitting, "id = ?", sittingID).Error; err != nil {
			return err
		}
		if err := requireState(tx, sitting.StudyID, panel.Open); err != nil {
			return panel.ErrNotOpen
		}
		raised := tx.Model(&sittingRow{}).Where("id = ? AND released < ?", sittingID, wave).Update("released", wave)
		if raised.Error != nil || raised.RowsAffected == 0 {
			return raised.Error
		}
		return appendEvent(tx, e)
	})
}

// NoteLook notes the planned look that was taken at the end of a sitting.
func (s *Store) NoteLook(ctx context.Context, sittingID panel.SittingID, l panel.Look, e panel.Event) error {
	return s.writing(ctx, "note a look", func(tx *gorm.DB) error {
		var sitting sittingRow
		if err := tx.Select("study_id").Take(&sitting, "id = ?", sittingID).Error; err != nil {
			return err
		}
		if err := requireState(tx, sitting.StudyID, panel.Open); err != nil {
			return err
		}
		noted := tx.Model(&sittingRow{}).Where("id = ? AND looked_at IS NULL", sittingID).Updates(map[string]any{
			"looked_at": instant(l.At), "looked_people": l.People, "look_enough": l.Enough})
		if noted.Error != nil {
			return noted.Error
		}
		if noted.RowsAffected == 0 {
			return panel.ErrWrongState
		}
		return appendEvent(tx, e)
	})
}

// Decline counts one person who said no, once per nonceHash, and keeps the first reason.
func (s *Store) Decline(ctx context.Context, sittingID panel.SittingID, nonceHash panel.TokenHash, why panel.WhyNot,
	at time.Time, e panel.Event,
) error {
	return s.writing(ctx, "count a decline", func(tx *gorm.DB) error {
		if err := tx.Select("id").Take(&sittingRow{}, "id = ?", sittingID).Error; err != nil {
			return err
		}
		row := declineRow{SittingID: sittingID, NonceHash: nonceHash, DeclinedAt: instant(at), Why: why}
		created := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&row)
		if created.Error != nil {
			return created.Error
		}
		if created.RowsAffected == 0 {
			first := tx.Model(&declineRow{}).Where("sitting_id = ? AND nonce_hash = ?", sittingID, nonceHash)
			return first.Where("why = ''").Update("why", why).Error
		}
		return appendEvent(tx, e)
	})
}

// WhyDeclined counts the reasons of those who said no, over all sittings.
func (s *Store) WhyDeclined(ctx context.Context, studyID panel.StudyID) (counts panel.WhyCounts, err error) {
	var rows []struct {
		Why panel.WhyNot
		N   int
	}
	err = s.reading(ctx, "count why people said no", func(db *gorm.DB) error {
		return db.Table("declines").Select("why, COUNT(*) AS n").
			Where("sitting_id IN (SELECT id FROM sittings WHERE study_id = ?)", studyID).
			Group("why").Scan(&rows).Error
	})
	for _, r := range rows {
		if i := slices.Index(panel.WhysNot[:], r.Why); i >= 0 {
			counts[i] = r.N
		}
	}
	return counts, err
}
