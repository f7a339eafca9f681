package store

import (
	"context"
	"database/sql"
	"time"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// Assessor returns an assessor by id.
func (s *Store) Assessor(ctx context.Context, id string) (panel.Assessor, error) {
	var row assessorRow
	err := s.look(ctx, "find assessor", func(db *gorm.DB) error {
		return db.Take(&row, "id = ?", id).Error
	})
	return row.assessor(), err
}

// NoteAssessor changes what is noted of an assessor.
func (s *Store) NoteAssessor(ctx context.Context, assessorID string, n panel.AssessorNote, e panel.Event) error {
	return s.change(ctx, "note assessor", func(tx *gorm.DB) error {
		assessor, _, err := lockAssessor(tx, assessorID, panel.Open)
		if err != nil {
			return err
		}
		if assessor.WithdrawnAt.Valid {
			return panel.ErrWithdrawn
		}
		change := map[string]any{}
		noteTime(change, "left_at", n.Left)
		if n.Left != nil {
			change["left_self"] = n.LeftSelf
		}
		noteTime(change, "rested_at", n.Rested)
		if n.Seat != nil {
			change["seat"] = *n.Seat
		}
		if n.Screening != nil {
			change["screening"] = screeningText(n.Screening)
		}
		if err := noteRow(tx, &assessorRow{}, assessorID, change); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// noteTime adds a moment to a change; a zero one stands for NULL.
func noteTime(change map[string]any, column string, at *time.Time) {
	if at != nil {
		change[column] = instantOrNull(*at)
	}
}

func noteRow(tx *gorm.DB, row any, id string, change map[string]any) error {
	if len(change) == 0 {
		return nil
	}
	return tx.Model(row).Where("id = ?", id).Updates(change).Error
}

// Withdraw deletes every answer of an assessor. The submissions stay noted
// without what they said, so that one that arrives again is known.
func (s *Store) Withdraw(ctx context.Context, assessorID string, at time.Time, e panel.Event) error {
	return s.change(ctx, "withdraw answers", func(tx *gorm.DB) error {
		assessor, state, err := lockAssessor(tx, assessorID, panel.Open, panel.Closed)
		if err != nil || assessor.WithdrawnAt.Valid {
			return err
		}
		const theirs = `serving_id IN (SELECT id FROM servings WHERE study_id = @study AND place = @place)`
		who := []any{sql.Named("study", assessor.StudyID), sql.Named("place", assessor.Place)}
		for _, statement := range []string{
			"DELETE FROM ratings WHERE " + theirs,
			"DELETE FROM rated_servings WHERE " + theirs,
			"DELETE FROM replaced_ratings WHERE answers_id IN (SELECT id FROM replaced_answers WHERE " + theirs + ")",
			"DELETE FROM replaced_answers WHERE " + theirs,
			"DELETE FROM found_spreads WHERE study_id = @study", // made of their answers too
			"UPDATE studies SET spreads_kept = FALSE WHERE id = @study AND spreads_kept",
		} {
			if err := tx.Exec(statement, who...).Error; err != nil {
				return err
			}
		}
		if state == panel.Closed { // an export that was made before holds what was taken out
			if err := updateStudy(tx, assessor.StudyID, studyRow{}, "ExportedAt"); err != nil {
				return err
			}
		}
		change := map[string]any{"withdrawn_at": instant(at), "finished_at": nil, "screening": ""}
		if err := noteRow(tx, &assessorRow{}, assessorID, change); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// NoteServing changes what is noted of a serving.
func (s *Store) NoteServing(ctx context.Context, servingID string, n panel.ServingNote, e panel.Event) error {
	return s.change(ctx, "note serving", func(tx *gorm.DB) error {
		serving, assessor, err := lockServing(tx, servingID, lockRating)
		if err != nil {
			return err
		}
		change := map[string]any{}
		noteTime(change, "served_at", n.Served)
		noteTime(change, "refused_at", n.Refused)
		if !serving.RevealedAt.Valid {
			noteTime(change, "revealed_at", n.Revealed)
		}
		if err := noteRow(tx, &servingRow{}, servingID, change); err != nil {
			return err
		}
		if n.Refused != nil {
			if err := refinish(tx, assessor.ID, *n.Refused); err != nil {
				return err
			}
		}
		return appendEvent(tx, e)
	})
}

// refinish notes that an assessor has finished by a refusal, or goes on since one was
// taken back at the zero time.
func refinish(tx *gorm.DB, assessorID string, refused time.Time) error {
	if refused.IsZero() {
		return noteRow(tx, &assessorRow{}, assessorID, map[string]any{"finished_at": nil})
	}
	return finish(tx, assessorID, refused)
}

// lockServing reads a serving that has an assessor, of an open study, and keeps
// study and assessor as they are until the transaction ends.
func lockServing(tx *gorm.DB, id, strength string) (servingRow, assessorRow, error) {
	var serving servingRow
	if err := tx.Take(&serving, "id = ?", id).Error; err != nil {
		return servingRow{}, assessorRow{}, err
	}
	if _, err := lockStudy(tx, serving.StudyID, strength); err != nil {
		return servingRow{}, assessorRow{}, err
	}
	var assessor assessorRow
	err := tx.Select("id").Take(&assessor, "study_id = ? AND place = ?", serving.StudyID, serving.Place).Error
	if err != nil {
		return servingRow{}, assessorRow{}, err
	}
	if assessor, _, err = lockAssessor(tx, assessor.ID, panel.Open); err != nil {
		return servingRow{}, assessorRow{}, err
	}
	serving = servingRow{}
	err = tx.Take(&serving, "id = ?", id).Error
	return serving, assessor, err
}

// Drop gives a serving that carries a code the next spare code. The lock on the study keeps two drops
// from taking one code.
func (s *Store) Drop(ctx context.Context, servingID, code string, at time.Time, e panel.Event) (panel.Serving, error) {
	var serving servingRow
	err := s.change(ctx, "drop plate", func(tx *gorm.DB) error {
		var err error
		if serving, err = lockUnrated(tx, servingID, code); err != nil {
			return err
		}
		var spares []spareRow
		err = tx.Order("spare_order").Limit(1).
			Find(&spares, unmetSpare, serving.StudyID, serving.Sitting, serving.StudyID, serving.Place, serving.StudyID, serving.Place).Error
		if err != nil {
			return err
		}
		if len(spares) == 0 {
			return panel.ErrNoSpare
		}
		if err := takeSpare(tx, serving, spares[0], at); err != nil {
			return err
		}
		serving.Code, serving.ServedAt = spares[0].Code, sql.NullTime{}
		return appendEvent(tx, e)
	})
	if err != nil {
		return panel.Serving{}, err
	}
	return serving.serving(), nil
}

// unmetSpare is a spare code of a sitting that no plate took and that the guest at a place does not meet
// under any other plate, at any sitting: whoever remembers a code takes it for the same sample.
const unmetSpare = `study_id = ? AND sitting = ? AND serving_id IS NULL
	AND code NOT IN (SELECT code FROM servings WHERE study_id = ? AND place = ?)
	AND code NOT IN (SELECT d.code FROM dropped_codes d JOIN servings s ON s.id = d.serving_id WHERE s.study_id = ? AND s.place = ?)`

// lockUnrated is [lockServing] for a serving that carries a code and has no answers.
func lockUnrated(tx *gorm.DB, servingID, code string) (servingRow, error) {
	serving, _, err := lockServing(tx, servingID, lockSeating)
	if err != nil {
		return servingRow{}, err
	}
	var answered int64
	if err := tx.Model(&ratedServingRow{}).Where("serving_id = ?", servingID).Count(&answered).Error; err != nil {
		return servingRow{}, err
	}
	if answered > 0 {
		return servingRow{}, panel.ErrRated
	}
	if serving.Code != code {
		return servingRow{}, panel.ErrOtherCode
	}
	return serving, nil
}

// TakeBackDrop gives a serving the code back that it had before its last drop. The
// spare code stays used: a plate may carry it by now. It is kept as one that the
// serving had, so that its plate is still found by it.
func (s *Store) TakeBackDrop(ctx context.Context, servingID, code string, at time.Time, e panel.Event) (panel.Serving, error) {
	var serving servingRow
	err := s.change(ctx, "take back a drop", func(tx *gorm.DB) error {
		var err error
		if serving, err = lockUnrated(tx, servingID, code); err != nil {
			return err
		}
		var old []droppedRow
		err = tx.Order("id DESC").Limit(1).Find(&old, "serving_id = ? AND taken_back_at IS NULL", servingID).Error
		if err != nil {
			return err
		}
		if len(old) == 0 {
			return panel.ErrMoot
		}
		back := sql.NullTime{Time: instant(at), Valid: true}
		spare := droppedRow{ServingID: servingID, Code: code, DroppedAt: instant(at), TakenBackAt: back}
		if err := tx.Create(&spare).Error; err != nil {
			return err
		}
		if err := tx.Model(&droppedRow{}).Where("id = ?", old[0].ID).Update("taken_back_at", back).Error; err != nil {
			return err
		}
		serving.Code, serving.ServedAt = old[0].Code, old[0].ServedAt
		change := map[string]any{"code": serving.Code, "served_at": serving.ServedAt}
		if err := noteRow(tx, &servingRow{}, servingID, change); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
	if err != nil {
		return panel.Serving{}, err
	}
	return serving.serving(), nil
}

// takeSpare changes the code of a serving and keeps the old one.
func takeSpare(tx *gorm.DB, serving servingRow, spare spareRow, at time.Time) error {
	old := droppedRow{ServingID: serving.ID, Code: serving.Code, DroppedAt: instant(at), ServedAt: serving.ServedAt}
	if err := tx.Create(&old).Error; err != nil {
		return err
	}
	err := tx.Model(&spareRow{}).
		Where("study_id = ? AND sitting = ? AND spare_order = ?", spare.StudyID, spare.Sitting, spare.SpareOrder).
		Update("serving_id", serving.ID).Error
	if err != nil {
		return err
	}
	return noteRow(tx, &servingRow{}, serving.ID, map[string]any{"code": spare.Code, "served_at": nil})
}

// SpareCodes returns the codes that no dropped plate has taken.
func (s *Store) SpareCodes(ctx context.Context, studyID string, sitting int) ([]string, error) {
	var codes []string
	err := s.look(ctx, "list spare codes", func(db *gorm.DB) error {
		return db.Model(&spareRow{}).Where("study_id = ? AND sitting = ? AND serving_id IS NULL", studyID, sitting).
			Order("spare_order").Pluck("code", &codes).Error
	})
	return codes, err
}

// Dropped returns the codes that servings of a study had before, oldest first.
func (s *Store) Dropped(ctx context.Context, studyID string) ([]panel.Dropped, error) {
	var rows []droppedRow
	err := s.look(ctx, "list dropped codes", func(db *gorm.DB) error {
		return db.Select("dropped_codes.*").Joins("JOIN servings ON servings.id = dropped_codes.serving_id").
			Order("dropped_codes.id").Find(&rows, "servings.study_id = ?", studyID).Error
	})
	return each(rows, droppedRow.dropped), err
}

// AppendTemperature keeps a measured temperature.
func (s *Store) AppendTemperature(ctx context.Context, m panel.Measured, e panel.Event) error {
	return s.change(ctx, "log temperature", func(tx *gorm.DB) error {
		row := rowOfTemperature(m)
		if err := tx.Create(&row).Error; err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// Temperatures returns what was measured at a sitting, oldest first.
func (s *Store) Temperatures(ctx context.Context, sittingID string) ([]panel.Measured, error) {
	var rows []temperatureRow
	err := s.look(ctx, "list temperatures", func(db *gorm.DB) error {
		return db.Order("id").Find(&rows, "sitting_id = ?", sittingID).Error
	})
	return each(rows, temperatureRow.measured), err
}
