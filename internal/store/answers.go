package store

import (
	"context"
	"fmt"
	"time"

	"gorm.io/gorm"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// AnsweredBy returns when each turn of an assessor was answered.
func (s *Store) AnsweredBy(ctx context.Context, assessorID panel.AssessorID) (map[panel.TurnID]time.Time, error) {
	var rows []answeredRow
	err := s.reading(ctx, "list answered turns", func(db *gorm.DB) error {
		return db.Find(&rows, "assessor_id = ?", assessorID).Error
	})
	answered := make(map[panel.TurnID]time.Time, len(rows))
	for _, row := range rows {
		answered[panel.TurnID(row.TurnID)] = row.AnsweredAt.UTC()
	}
	return answered, err
}

// KeyedAnswers returns every answer of a study by place, turn, serving and attribute.
func (s *Store) KeyedAnswers(ctx context.Context, studyID panel.StudyID) ([]panel.KeyedAnswer, error) {
	var all []panel.KeyedAnswer
	err := s.reading(ctx, "list answers", func(db *gorm.DB) (err error) {
		all, err = keyedIn(db, studyID)
		return err
	})
	return all, err
}

func keyedIn(db *gorm.DB, studyID panel.StudyID) ([]panel.KeyedAnswer, error) {
	rows, err := find[keyedRow](db.Table("answers").
		Select(`turns.place, turns.turn_order, turns.sitting, turns.name, COALESCE(servings.role, turns.role) AS role,
			servings.position, servings.code, servings.sample, answers.attribute, answers.value,
			answered_turns.given_at, answered_turns.entered_by, answered_turns.seq, answered_turns.answered_at,
			answered_turns.waited_ms, servings.served_at,
			`+incidentsOfTurn+` AS incidents,
			COALESCE((SELECT s.sample FROM servings s WHERE s.turn_id = turns.id AND s.role = 'reference'
				AND turns.role = 'rated'), '') AS reference,
			EXISTS (SELECT 1 FROM servings s WHERE s.turn_id = turns.id AND s.revealed_at IS NOT NULL) AS revealed,
			EXISTS (SELECT 1 FROM servings s WHERE s.turn_id = turns.id AND s.served_at IS NULL) AS not_set_down`).
		Joins("JOIN answered_turns ON answered_turns.turn_id = answers.turn_id").
		Joins("JOIN turns ON turns.id = answers.turn_id").
		Joins("LEFT JOIN servings ON servings.id = answers.serving_id").
		Where("turns.study_id = ?", studyID).
		Order("turns.place, turns.turn_order, servings.serving_order, answers.attribute"))
	all := make([]panel.KeyedAnswer, len(rows))
	for i, row := range rows {
		if all[i], err = row.keyed(); err != nil {
			return nil, fmt.Errorf("an answer of place %d: %w", row.Place, err)
		}
	}
	return all, err
}

// Answers returns the answers of a turn as they stand, by serving and attribute. It is
// one statement, so that it waits for no writer.
func (s *Store) Answers(ctx context.Context, id panel.TurnID) (panel.AnsweredTurn, []panel.Answer, error) {
	var rows []struct {
		Answered  answeredRow `gorm:"embedded"`
		ServingID string
		Attribute string
		Value     float64
	}
	err := s.reading(ctx, "read answers", func(db *gorm.DB) error {
		return db.Table("answered_turns").
			Select("answered_turns.*, answers.serving_id, answers.attribute, answers.value").
			Joins("LEFT JOIN answers ON answers.turn_id = answered_turns.turn_id").
			Joins("LEFT JOIN servings ON servings.id = answers.serving_id").
			Where("answered_turns.turn_id = ?", string(id)).Order("servings.serving_order, " +
			"answers.attribute").Find(&rows).Error
	})
	if err == nil && len(rows) == 0 {
		err = fmt.Errorf("read answers: %w", panel.ErrNotFound)
	}
	if err != nil {
		return panel.AnsweredTurn{}, nil, err
	}
	var answers []panel.Answer
	for _, r := range rows {
		if r.Attribute != "" { // where there was nothing to say
			answers = append(answers, answerRow{ServingID: r.ServingID, Attribute: r.Attribute,
				Value: r.Value}.answer())
		}
	}
	return rows[0].Answered.answered(), answers, nil
}

// AnsweredTurns returns the turns of a study that have answers, by time.
func (s *Store) AnsweredTurns(ctx context.Context, studyID panel.StudyID) ([]panel.AnsweredTurn, error) {
	var rows []answeredRow
	err := s.reading(ctx, "list answered turns", func(db *gorm.DB) (err error) {
		rows, err = find[answeredRow](db.Select("answered_turns.*").
			Joins("JOIN turns ON turns.id = answered_turns.turn_id").Where("turns.study_id = ?", studyID).
			Order("answered_turns.answered_at, turns.place, turns.turn_order"))
		return err
	})
	return each(rows, answeredRow.answered), err
}

// AfterClose counts the servings of an assessor with answers that arrived after the
// close; a name that was read counts as one.
func (s *Store) AfterClose(ctx context.Context, assessorID panel.AssessorID) (int, error) {
	var servings int
	err := s.reading(ctx, "count answers after close", func(db *gorm.DB) error {
		return db.Raw(`SELECT COALESCE(SUM(CASE WHEN plates = 0 THEN 1 ELSE plates END), 0) FROM (
			SELECT (SELECT COUNT(*) FROM servings WHERE servings.turn_id = turns.id) AS plates
			FROM turns JOIN assessors ON assessors.study_id = turns.study_id AND assessors.place = turns.place
			WHERE assessors.id = ?
				AND EXISTS (SELECT 1 FROM replaced_turns r WHERE r.turn_id = turns.id AND r.after_close)) late`,
			assessorID).Scan(&servings).Error
	})
	return servings, err
}

// ReplacedAll returns the answers of a study that do not count, oldest first.
func (s *Store) ReplacedAll(ctx context.Context, studyID panel.StudyID) ([]panel.Replaced, error) {
	var rows []replacedRow
	var values []replacedAnswerRow
	err := s.writing(ctx, "list replaced answers", func(tx *gorm.DB) error {
		err := tx.Select("replaced_turns.*").Joins("JOIN turns ON turns.id = replaced_turns.turn_id").
			Order("replaced_turns.id").Find(&rows, "turns.study_id = ?", studyID).Error
		if err != nil {
			return err
		}
		return tx.Select("replaced_answers.*").
			Joins("JOIN replaced_turns ON replaced_turns.id = replaced_answers.replaced_id").
			Joins("JOIN turns ON turns.id = replaced_turns.turn_id").
			Joins("LEFT JOIN servings ON servings.id = replaced_answers.serving_id").
			Order("replaced_answers.replaced_id, servings.serving_order, replaced_answers.attribute").Find(&values,
			"turns.study_id = ?", studyID).Error
	})
	replaced := each(rows, replacedRow.replaced)
	at := make(map[int64]int, len(rows))
	for i, row := range rows {
		at[row.ID] = i
	}
	for _, v := range values {
		r := &replaced[at[v.ReplacedID]]
		r.Answers = append(r.Answers, panel.Answer{ServingID: panel.ServingID(v.ServingID),
			Attribute: study.AttributeID(v.Attribute), Value: v.Value})
	}
	return replaced, err
}
