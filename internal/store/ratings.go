package store

import (
	"context"
	"fmt"
	"time"

	"gorm.io/gorm"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// Servings returns the servings of one place at one sitting, or at
// all of them when sitting is 0, in order.
func (s *Store) Servings(ctx context.Context, studyID string, place, sitting int) ([]panel.Serving, error) {
	var rows []servingRow
	err := s.look(ctx, "list servings", func(db *gorm.DB) error {
		return db.Order("serving_order").
			Find(&rows, "study_id = ? AND place = ? AND (sitting = ? OR ? = 0)", studyID, place, sitting, sitting).Error
	})
	return each(rows, servingRow.serving), err
}

// AllServings returns the serving plan of a study by place and order.
func (s *Store) AllServings(ctx context.Context, studyID string) ([]panel.Serving, error) {
	var rows []servingRow
	err := s.look(ctx, "list serving plan", func(db *gorm.DB) error {
		return db.Order("place, serving_order").Find(&rows, "study_id = ?", studyID).Error
	})
	return each(rows, servingRow.serving), err
}

// ServingsAt returns every serving of one sitting by place and order.
func (s *Store) ServingsAt(ctx context.Context, studyID string, sitting int) ([]panel.Serving, error) {
	var rows []servingRow
	err := s.look(ctx, "list servings of a sitting", func(db *gorm.DB) error {
		return db.Order("place, serving_order").Find(&rows, "study_id = ? AND sitting = ?", studyID, sitting).Error
	})
	return each(rows, servingRow.serving), err
}

// Serving returns a serving by its id.
func (s *Store) Serving(ctx context.Context, id string) (panel.Serving, error) {
	var row servingRow
	err := s.look(ctx, "find serving", func(db *gorm.DB) error {
		return db.Take(&row, "id = ?", id).Error
	})
	return row.serving(), err
}

// AnsweredServings returns when each serving of an assessor was rated.
func (s *Store) AnsweredServings(ctx context.Context, assessorID string) (map[string]time.Time, error) {
	var rows []ratedServingRow
	err := s.look(ctx, "list rated servings", func(db *gorm.DB) error {
		return db.Find(&rows, "assessor_id = ?", assessorID).Error
	})
	rated := make(map[string]time.Time, len(rows))
	for _, row := range rows {
		rated[row.ServingID] = row.RatedAt.UTC()
	}
	return rated, err
}

// RatedAll returns every rating of a study by place, serving order and attribute.
func (s *Store) RatedAll(ctx context.Context, studyID string) ([]panel.Rated, error) {
	var rated []panel.Rated
	err := s.look(ctx, "list ratings", func(db *gorm.DB) (err error) {
		rated, err = ratedIn(db, studyID)
		return err
	})
	return rated, err
}

func ratedIn(db *gorm.DB, studyID string) ([]panel.Rated, error) {
	var rows []ratedRow
	err := db.Table("ratings").
		Select(`servings.place, servings.position, servings.code, servings.sample, ratings.attribute, ratings.value, ratings.rated_at,
			rated_servings.entered_by, servings.revealed_at IS NOT NULL AS revealed,
			servings.code <> '' AND servings.served_at IS NULL AS not_set_down`).
		Joins("JOIN servings ON servings.id = ratings.serving_id").
		Joins("JOIN rated_servings ON rated_servings.serving_id = ratings.serving_id").
		Where("servings.study_id = ?", studyID).
		Order("servings.place, servings.serving_order, ratings.attribute").
		Find(&rows).Error
	return each(rows, ratedRow.rated), err
}

// Answers returns the answers of a serving as they stand, by attribute. It is one
// statement, so that it waits for no writer.
func (s *Store) Answers(ctx context.Context, servingID string) (panel.RatedServing, []panel.Answered, error) {
	var rows []struct {
		Rated     ratedServingRow `gorm:"embedded"`
		Attribute string
		Value     float64
		AnswerAt  time.Time
	}
	err := s.look(ctx, "read answers", func(db *gorm.DB) error {
		return db.Table("rated_servings").
			Select("rated_servings.*, ratings.attribute, ratings.value, ratings.rated_at AS answer_at").
			Joins("JOIN ratings ON ratings.serving_id = rated_servings.serving_id").
			Where("rated_servings.serving_id = ?", servingID).Order("ratings.attribute").Find(&rows).Error
	})
	if err == nil && len(rows) == 0 {
		err = fmt.Errorf("read answers: %w", panel.ErrNotFound)
	}
	if err != nil {
		return panel.RatedServing{}, nil, err
	}
	var answers []panel.Answered
	for _, r := range rows {
		a := ratingRow{ServingID: servingID, Attribute: r.Attribute, Value: r.Value, RatedAt: r.AnswerAt}
		answers = append(answers, a.answered())
	}
	return rows[0].Rated.ratedServing(), answers, nil
}

// RatedServings returns the servings of a study that have answers, by time.
func (s *Store) RatedServings(ctx context.Context, studyID string) ([]panel.RatedServing, error) {
	var rows []ratedServingRow
	err := s.look(ctx, "list rated servings", func(db *gorm.DB) error {
		return db.Select("rated_servings.*").Joins("JOIN servings ON servings.id = rated_servings.serving_id").
			Order("rated_servings.rated_at, servings.place, servings.serving_order").
			Find(&rows, "servings.study_id = ?", studyID).Error
	})
	return each(rows, ratedServingRow.ratedServing), err
}

// AfterClose counts the servings of an assessor with answers that arrived after the close.
func (s *Store) AfterClose(ctx context.Context, assessorID string) (int, error) {
	var servings int64
	err := s.look(ctx, "count answers after close", func(db *gorm.DB) error {
		return db.Model(&replacedRow{}).
			Joins("JOIN servings ON servings.id = replaced_answers.serving_id").
			Joins("JOIN assessors ON assessors.study_id = servings.study_id AND assessors.place = servings.place").
			Where("assessors.id = ? AND replaced_answers.after_close", assessorID).
			Distinct("replaced_answers.serving_id").Count(&servings).Error
	})
	return int(servings), err
}

// ReplacedAll returns the answers of a study that do not count, oldest first.
func (s *Store) ReplacedAll(ctx context.Context, studyID string) ([]panel.Replaced, error) {
	var rows []replacedRow
	var values []replacedRatingRow
	err := s.change(ctx, "list replaced answers", func(tx *gorm.DB) error {
		err := tx.Select("replaced_answers.*").Joins("JOIN servings ON servings.id = replaced_answers.serving_id").
			Order("replaced_answers.id").Find(&rows, "servings.study_id = ?", studyID).Error
		if err != nil {
			return err
		}
		return tx.Select("replaced_ratings.*").
			Joins("JOIN replaced_answers ON replaced_answers.id = replaced_ratings.answers_id").
			Joins("JOIN servings ON servings.id = replaced_answers.serving_id").
			Order("replaced_ratings.answers_id, replaced_ratings.attribute").Find(&values, "servings.study_id = ?", studyID).Error
	})
	replaced := each(rows, replacedRow.replaced)
	at := make(map[int64]int, len(rows))
	for i, row := range rows {
		at[row.ID] = i
	}
	for _, v := range values {
		r := &replaced[at[v.AnswersID]]
		r.Answers = append(r.Answers, panel.Answered{ServingID: r.ServingID, Attribute: study.AttributeID(v.Attribute), Value: v.Value, At: r.At})
	}
	return replaced, err
}
