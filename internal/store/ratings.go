package store

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

// Servings returns the servings of one place at one sitting, in order.
func (s *Store) Servings(ctx context.Context, studyID string, place, sitting int) ([]panel.Serving, error) {
	var rows []servingRow
	err := s.look(ctx, "list servings", func(db *gorm.DB) error {
		return db.Order("serving_order").
			Find(&rows, "study_id = ? AND place = ? AND sitting = ?", studyID, place, sitting).Error
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

// Rate records the answers of one serving once; false, and nothing changed, when
// it has answers already. No answers, one that is no number, and two for one
// attribute are errors.
func (s *Store) Rate(ctx context.Context, assessorID, servingID string, answers []panel.Answered, finished bool) (bool, error) {
	at, err := answeredAt(answers)
	if err != nil {
		return false, fmt.Errorf("record ratings: %w", err)
	}
	var first bool
	err = s.change(ctx, "record ratings", func(tx *gorm.DB) error {
		first = false
		if err := mayRate(tx, assessorID, servingID); err != nil {
			return err
		}
		// Of two submissions at once the second waits here for the first.
		done := tx.Clauses(clause.OnConflict{DoNothing: true}).
			Create(&ratedServingRow{ServingID: servingID, AssessorID: assessorID, RatedAt: at})
		if done.Error != nil || done.RowsAffected == 0 {
			return done.Error
		}
		first = true
		rows := each(answers, func(a panel.Answered) ratingRow { return rowOfRating(servingID, a) })
		if err := tx.Create(&rows).Error; err != nil || !finished {
			return err
		}
		return tx.Model(&assessorRow{}).Where("id = ? AND finished_at IS NULL", assessorID).
			Update("finished_at", at).Error
	})
	return first && err == nil, err
}

// answeredAt checks answers and returns the time of the latest.
func answeredAt(answers []panel.Answered) (time.Time, error) {
	if len(answers) == 0 {
		return time.Time{}, errors.New("a serving without answers")
	}
	at := answers[0].At
	for _, a := range answers {
		if math.IsNaN(a.Value) || math.IsInf(a.Value, 0) {
			return time.Time{}, fmt.Errorf("the answer for %q is no number", a.Attribute)
		}
		if a.At.After(at) {
			at = a.At
		}
	}
	return instant(at), nil
}

// mayRate checks that the study of an assessor is open, and keeps it open until
// the transaction ends; and that the serving is one of the assessor's.
func mayRate(tx *gorm.DB, assessorID, servingID string) error {
	var assessor assessorRow
	if err := tx.Take(&assessor, "id = ?", assessorID).Error; err != nil {
		return err
	}
	study, err := lockStudy(tx, assessor.StudyID, lockRating)
	if err != nil {
		return err
	}
	if study.State != panel.Open.String() {
		return panel.ErrNotOpen
	}
	return tx.Select("servings.id").
		Joins("JOIN sittings ON sittings.study_id = servings.study_id AND sittings.number = servings.sitting").
		Take(&servingRow{}, "servings.id = ? AND servings.study_id = ? AND servings.place = ? AND sittings.id = ?",
			servingID, assessor.StudyID, assessor.Place, assessor.SittingID).Error
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
	var rows []ratedRow
	err := s.look(ctx, "list ratings", func(db *gorm.DB) error {
		return db.Table("ratings").
			Select("servings.place, servings.position, servings.code, servings.sample, ratings.attribute, ratings.value, ratings.rated_at").
			Joins("JOIN servings ON servings.id = ratings.serving_id").
			Where("servings.study_id = ?", studyID).
			Order("servings.place, servings.serving_order, ratings.attribute").
			Find(&rows).Error
	})
	return each(rows, ratedRow.rated), err
}
