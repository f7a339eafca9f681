package store

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

// Submit takes a submission once and does with it what judge says. The row of
// the assessor is locked meanwhile, so that submissions of one assessor come one
// after another. No answers, one that is no number, and two for one attribute are
// errors.
func (s *Store) Submit(ctx context.Context, sub panel.Submitted, judge func(panel.Standing) (panel.Outcome, *panel.Event)) (panel.Outcome, error) {
	if err := soundAnswers(sub.Answers); err != nil {
		return 0, fmt.Errorf("record ratings: %w", err)
	}
	sub.At = instant(sub.At)
	var outcome panel.Outcome
	err := s.change(ctx, "record ratings", func(tx *gorm.DB) error {
		outcome = panel.Repeated
		if again, err := takenBefore(tx, sub); again || err != nil {
			return err
		}
		assessor, serving, closed, err := maySubmit(tx, sub.AssessorID, sub.ServingID)
		if err != nil {
			return err
		}
		// Asked again under the lock: the same submission may have come twice at once.
		if again, err := takenBefore(tx, sub); again || err != nil {
			return err
		}
		standing, err := standingOf(tx, assessor, serving)
		if err != nil {
			return err
		}
		standing.Closed = closed
		var e *panel.Event
		outcome, e = judge(standing)
		if closed != (outcome == panel.AfterClose) {
			return fmt.Errorf("a submission cannot be judged %q, closed: %t", outcome, closed)
		}
		if err := settle(tx, assessor.StudyID, sub, outcome); err != nil {
			return err
		}
		row := submissionRow{AssessorID: sub.AssessorID, ID: sub.ID, ServingID: sub.ServingID, TakenAt: sub.At, Outcome: outcome.String()}
		if err := tx.Create(&row).Error; err != nil || e == nil {
			return err
		}
		return appendEvent(tx, *e)
	})
	if err != nil {
		return 0, err
	}
	return outcome, nil
}

// takenBefore tells whether the id of a submission is known, in whatever state
// the study is.
func takenBefore(tx *gorm.DB, sub panel.Submitted) (bool, error) {
	err := tx.Select("id").Take(&submissionRow{}, "assessor_id = ? AND id = ?", sub.AssessorID, sub.ID).Error
	if errors.Is(err, gorm.ErrRecordNotFound) {
		return false, nil
	}
	return err == nil, err
}

// soundAnswers checks that answers can be kept.
func soundAnswers(answers []panel.Answered) error {
	if len(answers) == 0 {
		return errors.New("a serving without answers")
	}
	for _, a := range answers {
		if math.IsNaN(a.Value) || math.IsInf(a.Value, 0) {
			return fmt.Errorf("the answer for %q is no number", a.Attribute)
		}
	}
	return nil
}

// maySubmit checks that the study of an assessor is open or closed, and keeps it so
// until the transaction ends; that the assessor did not withdraw; and that the serving
// is one of theirs, at a sitting that is open and no earlier than the one at which
// they joined. A name that is read has no code and belongs to no sitting.
func maySubmit(tx *gorm.DB, assessorID, servingID string) (assessor assessorRow, serving servingRow, closed bool, err error) {
	assessor, state, err := lockAssessor(tx, assessorID, panel.Open, panel.Closed)
	if err != nil {
		return assessor, serving, false, err
	}
	if assessor.WithdrawnAt.Valid {
		return assessor, serving, false, panel.ErrWithdrawn
	}
	err = tx.Select("servings.*").
		Joins("JOIN sittings ON sittings.study_id = servings.study_id AND sittings.number = servings.sitting AND sittings.opened_at IS NOT NULL").
		Take(&serving, `servings.id = ? AND servings.study_id = ? AND servings.place = ?
			AND (servings.code = '' OR sittings.number >= (SELECT number FROM sittings joined WHERE joined.id = ?))`,
			servingID, assessor.StudyID, assessor.Place, assessor.SittingID).Error
	return assessor, serving, state == panel.Closed, err
}

// lockAssessor reads an assessor of a study in one of the given states and keeps
// both as they are until the transaction ends. SQLite needs no lock on a row.
func lockAssessor(tx *gorm.DB, id string, allowed ...panel.State) (assessorRow, panel.State, error) {
	var assessor assessorRow
	if err := tx.Select("study_id").Take(&assessor, "id = ?", id).Error; err != nil {
		return assessorRow{}, 0, err
	}
	study, err := lockStudy(tx.Select("id, state"), assessor.StudyID, lockRating)
	if err != nil {
		return assessorRow{}, 0, err
	}
	state, err := stateOf(study.State)
	if err == nil && !slices.Contains(allowed, state) {
		err = panel.ErrNotOpen
	}
	if err != nil {
		return assessorRow{}, 0, err
	}
	assessor = assessorRow{}
	err = tx.Clauses(clause.Locking{Strength: lockSeating}).Take(&assessor, "id = ?", id).Error
	return assessor, state, err
}

// standingOf tells what judging needs: the answers that a serving has, and which
// later servings of the assessor have some. A name that is read has no code.
func standingOf(tx *gorm.DB, assessor assessorRow, serving servingRow) (panel.Standing, error) {
	var rated []struct {
		ServingID string
		Seq       int
		Code      string
	}
	err := tx.Table("rated_servings").Select("rated_servings.serving_id, rated_servings.seq, servings.code").
		Joins("JOIN servings ON servings.id = rated_servings.serving_id").
		Where("rated_servings.assessor_id = ? AND servings.serving_order >= ?", assessor.ID, serving.ServingOrder).
		Order("servings.serving_order").Find(&rated).Error
	var standing panel.Standing
	for _, r := range rated {
		if r.ServingID == serving.ID {
			standing.Held, standing.HeldSeq = true, r.Seq
			continue
		}
		standing.Later = append(standing.Later, r.Seq)
		if r.Code != "" {
			standing.Plates = append(standing.Plates, r.Seq)
		}
	}
	return standing, err
}

// settle does with a submission what was judged.
func settle(tx *gorm.DB, studyID string, sub panel.Submitted, outcome panel.Outcome) error {
	aside := replacedRow{ServingID: sub.ServingID, Seq: sub.Seq, EnteredBy: sub.EnteredBy,
		Comment: sub.Comment, RatedAt: sub.At, ReplacedAt: sub.At}
	switch outcome {
	case panel.Recorded:
		return record(tx, sub)
	case panel.Corrected:
		return correct(tx, sub)
	case panel.Superseded, panel.TooLate:
		return keepReplaced(tx, aside, rowsOfAnswers(sub))
	case panel.AfterClose: // an export that was made before lacks it
		if err := updateStudy(tx, studyID, studyRow{}, "ExportedAt"); err != nil {
			return err
		}
		aside.AfterClose = true
		return keepReplaced(tx, aside, rowsOfAnswers(sub))
	case panel.Repeated:
	}
	return fmt.Errorf("a submission cannot be judged %q", outcome)
}

func rowsOfAnswers(sub panel.Submitted) []ratingRow {
	return each(sub.Answers, func(a panel.Answered) ratingRow { return rowOfRating(sub.ServingID, a) })
}

// record keeps the first answers of a serving. A guest who answers did not refuse.
func record(tx *gorm.DB, sub panel.Submitted) error {
	row := ratedServingRow{ServingID: sub.ServingID, AssessorID: sub.AssessorID, RatedAt: sub.At, Seq: sub.Seq,
		EnteredBy: sub.EnteredBy, Comment: sub.Comment}
	if err := tx.Create(&row).Error; err != nil {
		return err
	}
	rows := rowsOfAnswers(sub)
	if err := tx.Create(&rows).Error; err != nil {
		return err
	}
	err := tx.Model(&servingRow{}).Where("id = ? AND refused_at IS NOT NULL", sub.ServingID).Update("refused_at", nil).Error
	if err != nil {
		return err
	}
	if !sub.RestedAt.IsZero() {
		err = tx.Model(&assessorRow{}).Where("id = ?", sub.AssessorID).Update("rested_at", instant(sub.RestedAt)).Error
		if err != nil {
			return err
		}
	}
	return finish(tx, sub.AssessorID, sub.At)
}

// correct puts new answers in the place of those of a serving, which are kept
// aside. The serving keeps the moment of its first answers: the rinse runs from
// there.
func correct(tx *gorm.DB, sub panel.Submitted) error {
	var held ratedServingRow
	if err := tx.Take(&held, "serving_id = ?", sub.ServingID).Error; err != nil {
		return err
	}
	var before []ratingRow
	if err := tx.Order("attribute").Find(&before, "serving_id = ?", sub.ServingID).Error; err != nil {
		return err
	}
	aside := replacedRow{ServingID: held.ServingID, Seq: held.Seq, EnteredBy: held.EnteredBy, Comment: held.Comment,
		RatedAt: held.RatedAt, ReplacedAt: sub.At}
	if len(before) > 0 {
		aside.RatedAt = before[0].RatedAt
	}
	if err := keepReplaced(tx, aside, before); err != nil {
		return err
	}
	if err := tx.Delete(&ratingRow{}, "serving_id = ?", sub.ServingID).Error; err != nil {
		return err
	}
	rows := rowsOfAnswers(sub)
	if err := tx.Create(&rows).Error; err != nil {
		return err
	}
	return tx.Model(&ratedServingRow{}).Where("serving_id = ?", sub.ServingID).Select("seq", "entered_by", "comment").
		Updates(ratedServingRow{Seq: sub.Seq, EnteredBy: sub.EnteredBy, Comment: sub.Comment}).Error
}

// keepReplaced keeps answers that do not count.
func keepReplaced(tx *gorm.DB, row replacedRow, answers []ratingRow) error {
	if err := tx.Create(&row).Error; err != nil || len(answers) == 0 {
		return err
	}
	rows := each(answers, func(a ratingRow) replacedRatingRow {
		return replacedRatingRow{AnswersID: row.ID, Attribute: a.Attribute, Value: a.Value}
	})
	return tx.Create(&rows).Error
}

// finish notes that an assessor has no plate left to rate, from the sitting on at
// which they joined. Names without a code are read before the first plate or not at all.
func finish(tx *gorm.DB, assessorID string, at time.Time) error {
	return tx.Exec(`UPDATE assessors SET finished_at = ? WHERE id = ? AND finished_at IS NULL AND NOT EXISTS (
		SELECT 1 FROM servings WHERE servings.study_id = assessors.study_id AND servings.place = assessors.place
			AND servings.refused_at IS NULL AND servings.code <> ''
			AND servings.sitting >= (SELECT number FROM sittings WHERE sittings.id = assessors.sitting_id)
			AND NOT EXISTS (SELECT 1 FROM rated_servings WHERE rated_servings.serving_id = servings.id))`,
		instant(at), assessorID).Error
}
