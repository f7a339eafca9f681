package store

import (
	"context"
	"database/sql"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/design"
	"cloche/internal/panel"
)

// Assessor returns an assessor by id.
func (s *Store) Assessor(ctx context.Context, id panel.AssessorID) (panel.Assessor, error) {
	var row assessorRow
	err := s.reading(ctx, "find assessor", func(db *gorm.DB) error {
		return db.Take(&row, "id = ?", id).Error
	})
	return row.assessor(), err
}

// NoteAssessor changes what is noted of an assessor.
func (s *Store) NoteAssessor(ctx context.Context, assessorID panel.AssessorID, n panel.AssessorNote,
	e panel.Event) error {
	return s.writing(ctx, "note assessor", func(tx *gorm.DB) error {
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
		if n.Table != nil && *n.Table != assessor.TableNumber {
			seat, err := nextSeatAt(tx, assessor.SittingID, *n.Table, assessorID)
			if err != nil {
				return err
			}
			change["table_number"], change["table_seat"] = *n.Table, seat
		}
		if n.Screening != nil {
			change["screening"] = screeningText(n.Screening)
		}
		if err := noteRow(tx, &assessorRow{}, string(assessorID), change); err != nil {
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
func (s *Store) Withdraw(ctx context.Context, assessorID panel.AssessorID, at time.Time, e panel.Event) error {
	return s.writing(ctx, "withdraw answers", func(tx *gorm.DB) error {
		assessor, state, err := lockAssessor(tx, assessorID, panel.Open, panel.Closed)
		if err != nil || assessor.WithdrawnAt.Valid {
			return err
		}
		const theirs = `turn_id IN (SELECT id FROM turns WHERE study_id = @study AND place = @place)`
		who := []any{sql.Named("study", assessor.StudyID), sql.Named("place", assessor.Place)}
		for _, statement := range []string{
			"DELETE FROM answers WHERE " + theirs,
			"DELETE FROM answered_turns WHERE " + theirs,
			"DELETE FROM replaced_answers WHERE replaced_id IN (SELECT id FROM replaced_turns WHERE " + theirs + ")",
			"DELETE FROM replaced_turns WHERE " + theirs,
			"DELETE FROM incidents WHERE " + theirs,                 // how they felt is theirs too
			"DELETE FROM found_differences WHERE study_id = @study", // made of their answers too
			"DELETE FROM verdict_lines WHERE study_id = @study",
			"UPDATE studies SET differences_kept = FALSE WHERE id = @study AND differences_kept",
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
		change := map[string]any{"withdrawn_at": instant(at), "screening": "", "last_guess": "", "last_thought": "",
			"last_said_at": nil, "last_entered_by": "", "last_after_close": false}
		if err := noteRow(tx, &assessorRow{}, string(assessorID), change); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// NoteTurn changes what is noted of a turn and its plates.
func (s *Store) NoteTurn(ctx context.Context, id panel.TurnID, n panel.TurnNote, e panel.Event) error {
	return s.writing(ctx, "note turn", func(tx *gorm.DB) error {
		turn, assessor, err := lockTurn(tx, string(id), lockRating)
		if err != nil {
			return err
		}
		if err := noteServed(tx, turn.ID, n.Served); err != nil {
			return err
		}
		if n.Passed != nil {
			passed := map[string]any{"passed_at": instantOrNull(*n.Passed)}
			if err := noteRow(tx, &turnRow{}, turn.ID, passed); err != nil {
				return err
			}
		}
		if n.Refused != nil {
			if err := noteRow(tx, &turnRow{}, turn.ID,
				map[string]any{"refused_at": instantOrNull(*n.Refused)}); err != nil {
				return err
			}
			if err := refinish(tx, assessor.ID, *n.Refused); err != nil {
				return err
			}
		}
		return appendEvent(tx, e)
	})
}

// OpenTurn notes when the code on the plate of a turn was typed; the first time counts.
func (s *Store) OpenTurn(ctx context.Context, id panel.TurnID, at time.Time) error {
	return s.writing(ctx, "open turn", func(tx *gorm.DB) error {
		if _, _, err := lockTurn(tx, string(id), lockRating); err != nil {
			return err
		}
		return tx.Model(&turnRow{}).Where("id = ? AND opened_at IS NULL", string(id)).
			Update("opened_at", instant(at)).Error
	})
}

// noteServed notes when the plates of a turn were set down that were not yet, or at the
// zero time that none was.
func noteServed(tx *gorm.DB, turnID string, at *time.Time) error {
	if at == nil {
		return nil
	}
	plates := tx.Model(&servingRow{}).Where("turn_id = ?", turnID)
	if !at.IsZero() {
		plates = plates.Where("served_at IS NULL")
	}
	return plates.Update("served_at", instantOrNull(*at)).Error
}

// Reveal notes that the blind was broken for a serving.
func (s *Store) Reveal(ctx context.Context, id panel.ServingID, r panel.Reveal, e panel.Event) error {
	return s.writing(ctx, "break the blind", func(tx *gorm.DB) error {
		serving, _, err := lockServing(tx, string(id), lockRating)
		if err != nil {
			return err
		}
		change := map[string]any{}
		if !serving.RevealedAt.Valid {
			change["revealed_at"] = instant(r.At)
		}
		if r.WrongPlate {
			noted := incidentRow{TurnID: serving.TurnID, What: string(panel.AteAnother), NotedAt: instant(r.At),
				Who: e.Who}
			if err := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&noted).Error; err != nil {
				return err
			}
		}
		if len(change) > 0 {
			if err := noteRow(tx, &servingRow{}, serving.ID, change); err != nil {
				return err
			}
		}
		return appendEvent(tx, e)
	})
}

// refinish notes that an assessor has finished by a refusal, or goes on since one was
// taken back at the zero time.
func refinish(tx *gorm.DB, assessorID panel.AssessorID, refused time.Time) error {
	if refused.IsZero() {
		return noteRow(tx, &assessorRow{}, string(assessorID), map[string]any{"finished_at": nil})
	}
	return finish(tx, assessorID, refused)
}

// lockTurn reads a turn that has an assessor, of an open study, and keeps study and
// assessor as they are until the transaction ends.
func lockTurn(tx *gorm.DB, id, strength string) (turnRow, assessorRow, error) {
	var turn turnRow
	if err := tx.Take(&turn, "id = ?", id).Error; err != nil {
		return turnRow{}, assessorRow{}, err
	}
	if _, err := lockStudy(tx, turn.StudyID, strength); err != nil {
		return turnRow{}, assessorRow{}, err
	}
	var assessor assessorRow
	err := tx.Select("id").Take(&assessor, "study_id = ? AND place = ?", turn.StudyID, turn.Place).Error
	if err != nil {
		return turnRow{}, assessorRow{}, err
	}
	assessor, _, err = lockAssessor(tx, assessor.ID, panel.Open)
	return turn, assessor, err
}

// lockServing is [lockTurn] for the turn of a serving, which is read after the lock.
func lockServing(tx *gorm.DB, id, strength string) (servingRow, turnRow, error) {
	var serving servingRow
	if err := tx.Select("turn_id").Take(&serving, "id = ?", id).Error; err != nil {
		return servingRow{}, turnRow{}, err
	}
	turn, _, err := lockTurn(tx, serving.TurnID, strength)
	if err != nil {
		return servingRow{}, turnRow{}, err
	}
	serving = servingRow{}
	err = tx.Take(&serving, "id = ?", id).Error
	return serving, turn, err
}

// Drop gives a serving that carries a code the next spare code. The lock on the study keeps two drops
// from taking one code.
func (s *Store) Drop(ctx context.Context, id panel.ServingID, code design.Code, at time.Time,
	e panel.Event) (panel.Serving, error) {
	var serving servingRow
	err := s.writing(ctx, "drop plate", func(tx *gorm.DB) error {
		var turn turnRow
		var err error
		if serving, turn, err = lockUnanswered(tx, string(id), code); err != nil {
			return err
		}
		var spares []spareRow
		err = tx.Order("spare_order").Limit(1).
			Find(&spares, unmetSpare, turn.StudyID, turn.Sitting, turn.StudyID, turn.Place, turn.StudyID,
				turn.Place).Error
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
	return serving.serving()
}

// unmetSpare is a spare code of a sitting that no plate took and that the guest at a place does not meet
// under any other plate, at any sitting: whoever remembers a code takes it for the same sample.
const unmetSpare = `study_id = ? AND sitting = ? AND serving_id IS NULL
	AND code NOT IN (SELECT v.code FROM servings v JOIN turns t ON t.id = v.turn_id
		WHERE t.study_id = ? AND t.place = ?)
	AND code NOT IN (SELECT d.code FROM dropped_codes d JOIN servings v ON v.id = d.serving_id
		JOIN turns t ON t.id = v.turn_id
		WHERE t.study_id = ? AND t.place = ?)`

// lockUnanswered is [lockServing] for a serving that carries a code and whose turn has
// no answers.
func lockUnanswered(tx *gorm.DB, id string, code design.Code) (servingRow, turnRow, error) {
	serving, turn, err := lockServing(tx, id, lockSeating)
	if err != nil {
		return servingRow{}, turnRow{}, err
	}
	var answered int64
	if err := tx.Model(&answeredRow{}).Where("turn_id = ?", turn.ID).Count(&answered).Error; err != nil {
		return servingRow{}, turnRow{}, err
	}
	if answered > 0 {
		return servingRow{}, turnRow{}, panel.ErrRated
	}
	if serving.Code != code {
		return servingRow{}, turnRow{}, panel.ErrOtherCode
	}
	return serving, turn, nil
}

// TakeBackDrop gives a serving the code back that it had before its last drop. The
// spare code stays used: a plate may carry it by now. It is kept as one that the
// serving had, so that its plate is still found by it.
func (s *Store) TakeBackDrop(ctx context.Context, id panel.ServingID, code design.Code, at time.Time,
	e panel.Event) (panel.Serving, error) {
	var serving servingRow
	err := s.writing(ctx, "take back a drop", func(tx *gorm.DB) error {
		var err error
		if serving, _, err = lockUnanswered(tx, string(id), code); err != nil {
			return err
		}
		var old []droppedRow
		err = tx.Order("id DESC").Limit(1).Find(&old, "serving_id = ? AND taken_back_at IS NULL", serving.ID).Error
		if err != nil {
			return err
		}
		if len(old) == 0 {
			return panel.ErrOverAlready
		}
		back := sql.NullTime{Time: instant(at), Valid: true}
		spare := droppedRow{ServingID: serving.ID, Code: code, DroppedAt: instant(at), TakenBackAt: back}
		if err := tx.Create(&spare).Error; err != nil {
			return err
		}
		if err := tx.Model(&droppedRow{}).Where("id = ?", old[0].ID).Update("taken_back_at", back).Error; err != nil {
			return err
		}
		serving.Code, serving.ServedAt = old[0].Code, old[0].ServedAt
		change := map[string]any{"code": serving.Code, "served_at": serving.ServedAt}
		if err := noteRow(tx, &servingRow{}, serving.ID, change); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
	if err != nil {
		return panel.Serving{}, err
	}
	return serving.serving()
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
	// What is plated anew is not at the pass yet.
	if err := noteRow(tx, &turnRow{}, serving.TurnID, map[string]any{"passed_at": nil}); err != nil {
		return err
	}
	return noteRow(tx, &servingRow{}, serving.ID, map[string]any{"code": spare.Code, "served_at": nil})
}

// SpareCodes returns the codes that no dropped plate has taken.
func (s *Store) SpareCodes(ctx context.Context, studyID panel.StudyID, sitting int) ([]design.Code, error) {
	var codes []design.Code
	err := s.reading(ctx, "list spare codes", func(db *gorm.DB) error {
		return db.Model(&spareRow{}).Where("study_id = ? AND sitting = ? AND serving_id IS NULL", studyID, sitting).
			Order("spare_order").Pluck("code", &codes).Error
	})
	return codes, err
}

// Dropped returns the codes that servings of a study had before, oldest first.
func (s *Store) Dropped(ctx context.Context, studyID panel.StudyID) ([]panel.Dropped, error) {
	var rows []droppedRow
	err := s.reading(ctx, "list dropped codes", func(db *gorm.DB) error {
		return db.Select("dropped_codes.*").Joins("JOIN servings ON servings.id = dropped_codes.serving_id").
			Joins("JOIN turns ON turns.id = servings.turn_id").Order("dropped_codes.id").Find(&rows,
			"turns.study_id = ?", studyID).Error
	})
	return each(rows, droppedRow.dropped), err
}

// AppendTemperature keeps a measured temperature.
func (s *Store) AppendTemperature(ctx context.Context, m panel.Measured, e panel.Event) error {
	return s.writing(ctx, "log temperature", func(tx *gorm.DB) error {
		row := rowOfTemperature(m)
		if err := tx.Create(&row).Error; err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// Temperatures returns what was measured at a sitting, oldest first.
func (s *Store) Temperatures(ctx context.Context, sittingID panel.SittingID) ([]panel.Measured, error) {
	var rows []temperatureRow
	err := s.reading(ctx, "list temperatures", func(db *gorm.DB) error {
		return db.Order("id").Find(&rows, "sitting_id = ?", sittingID).Error
	})
	return each(rows, temperatureRow.measured), err
}
