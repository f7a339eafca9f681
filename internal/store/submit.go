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

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// Submit takes a submission once and does with it what judge says. The row of
// the assessor is locked meanwhile, so that submissions of one assessor come one
// after another. No answers where something was asked, one that is no number, and two
// for one attribute of a serving are errors.
func (s *Store) Submit(ctx context.Context, sub panel.Submitted,
	judge func(panel.Standing) (panel.Outcome, *panel.Event)) (panel.Outcome, error) {
	sub.At = instant(sub.At)
	var outcome panel.Outcome
	err := s.writing(ctx, "record answers", func(tx *gorm.DB) error {
		outcome = panel.Repeated
		if again, err := takenBefore(tx, sub); again || err != nil {
			return err
		}
		assessor, turn, closed, err := maySubmit(tx, sub.AssessorID, sub.TurnID)
		if err != nil {
			return err
		}
		if err := soundAnswers(turn, sub.Answers); err != nil {
			return err
		}
		// Asked again under the lock: the same submission may have come twice at once.
		if again, err := takenBefore(tx, sub); again || err != nil {
			return err
		}
		standing, err := standingOf(tx, assessor, turn)
		if err != nil {
			return err
		}
		closed = closed || sub.Ended
		standing.Closed = closed
		var e *panel.Event
		outcome, e = judge(standing)
		if closed != (outcome == panel.AfterClose) {
			return fmt.Errorf("a submission cannot be judged %q, closed: %t", outcome, closed)
		}
		if err := writeJudged(tx, assessor.StudyID, sub, outcome); err != nil {
			return err
		}
		row := submissionRow{AssessorID: sub.AssessorID, ID: sub.ID, TurnID: string(sub.TurnID), TakenAt: sub.At,
			Outcome: outcome.String()}
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

// soundAnswers checks that answers to a turn can be kept.
func soundAnswers(turn turnRow, answers []panel.Answer) error {
	if len(answers) == 0 && turn.Response != string(study.TasteOnly) {
		return errors.New("a turn without answers")
	}
	for _, a := range answers {
		if math.IsNaN(a.Value) || math.IsInf(a.Value, 0) {
			return fmt.Errorf("the answer for %q is no number", a.Attribute)
		}
	}
	return nil
}

// maySubmit checks that the study of an assessor is open or closed, and keeps it so
// until the transaction ends; that the assessor did not withdraw; and that the turn
// is one of theirs, at a sitting that is open and no earlier than the one at which
// they joined. A name that is read belongs to no sitting.
func maySubmit(tx *gorm.DB, assessorID panel.AssessorID, id panel.TurnID) (assessor assessorRow, turn turnRow,
	closed bool,
	err error) {
	assessor, state, err := lockAssessor(tx, assessorID, panel.Open, panel.Closed)
	if err != nil {
		return assessor, turn, false, err
	}
	if assessor.WithdrawnAt.Valid {
		return assessor, turn, false, panel.ErrWithdrawn
	}
	err = tx.Select("turns.*").
		Joins("JOIN sittings ON sittings.study_id = turns.study_id AND sittings.number = turns.sitting AND "+
			"sittings.opened_at IS NOT NULL").
		Take(&turn, `turns.id = ? AND turns.study_id = ? AND turns.place = ?
			AND (turns.role = 'expected' OR sittings.number >=
				(SELECT number FROM sittings joined WHERE joined.id = ?))`,
			string(id), assessor.StudyID, assessor.Place, assessor.SittingID).Error
	return assessor, turn, state == panel.Closed, err
}

// lockAssessor reads an assessor of a study in one of the given states and keeps
// both as they are until the transaction ends. SQLite needs no lock on a row.
func lockAssessor(tx *gorm.DB, id panel.AssessorID, allowed ...panel.State) (assessorRow, panel.State, error) {
	var assessor assessorRow
	if err := tx.Select("study_id").Take(&assessor, "id = ?", id).Error; err != nil {
		return assessorRow{}, 0, err
	}
	kept, err := lockStudy(tx.Select("id, state"), assessor.StudyID, lockRating)
	if err != nil {
		return assessorRow{}, 0, err
	}
	state, err := stateOf(kept.State)
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

// standingOf tells what judging needs: the answers that a turn has, and which later
// turns of the assessor have some.
func standingOf(tx *gorm.DB, assessor assessorRow, turn turnRow) (panel.Standing, error) {
	var answered []struct {
		TurnID string
		Seq    int
		Role   string
	}
	err := tx.Table("answered_turns").Select("answered_turns.turn_id, answered_turns.seq, turns.role").
		Joins("JOIN turns ON turns.id = answered_turns.turn_id").
		Where("answered_turns.assessor_id = ? AND turns.turn_order >= ?", assessor.ID, turn.TurnOrder).
		Order("turns.turn_order").Find(&answered).Error
	var standing panel.Standing
	for _, r := range answered {
		if r.TurnID == turn.ID {
			standing.Held, standing.HeldSeq = true, r.Seq
			continue
		}
		standing.Later = append(standing.Later, r.Seq)
		if r.Role != design.Expected.String() {
			standing.Plates = append(standing.Plates, r.Seq)
		}
	}
	return standing, err
}

// writeJudged does with a submission what was judged.
func writeJudged(tx *gorm.DB, studyID panel.StudyID, sub panel.Submitted, outcome panel.Outcome) error {
	aside := replacedRow{TurnID: string(sub.TurnID), Seq: sub.Seq, EnteredBy: sub.EnteredBy,
		Comment: sub.Comment, GivenAt: sub.At, ReplacedAt: sub.At}
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

func rowsOfAnswers(sub panel.Submitted) []answerRow {
	return each(sub.Answers, func(a panel.Answer) answerRow { return rowOfAnswer(sub.TurnID, a) })
}

// record keeps the first answers of a turn. A guest who answers did not refuse.
func record(tx *gorm.DB, sub panel.Submitted) error {
	row := answeredRow{TurnID: string(sub.TurnID), AssessorID: sub.AssessorID, AnsweredAt: sub.At, GivenAt: sub.At,
		Seq:       sub.Seq,
		EnteredBy: sub.EnteredBy, WaitedMs: sub.Waited.Milliseconds(), Comment: sub.Comment}
	if err := tx.Create(&row).Error; err != nil {
		return err
	}
	if err := insert(tx, rowsOfAnswers(sub)); err != nil {
		return err
	}
	err := tx.Model(&turnRow{}).Where("id = ? AND refused_at IS NOT NULL", string(sub.TurnID)).Update("refused_at",
		nil).Error
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

// correct puts new answers in the place of those of a turn, which are kept aside. The
// turn keeps the moment of its first answers: the rinse runs from there.
func correct(tx *gorm.DB, sub panel.Submitted) error {
	id := string(sub.TurnID)
	var held answeredRow
	if err := tx.Take(&held, "turn_id = ?", id).Error; err != nil {
		return err
	}
	var before []answerRow
	if err := tx.Find(&before, "turn_id = ?", id).Error; err != nil {
		return err
	}
	aside := replacedRow{TurnID: id, Seq: held.Seq, EnteredBy: held.EnteredBy, Comment: held.Comment,
		GivenAt: held.GivenAt, ReplacedAt: sub.At}
	if err := keepReplaced(tx, aside, before); err != nil {
		return err
	}
	if err := tx.Delete(&answerRow{}, "turn_id = ?", id).Error; err != nil {
		return err
	}
	if err := insert(tx, rowsOfAnswers(sub)); err != nil {
		return err
	}
	return tx.Model(&answeredRow{}).Where("turn_id = ?", id).Select("seq", "given_at", "entered_by", "comment").
		Updates(answeredRow{Seq: sub.Seq, GivenAt: sub.At, EnteredBy: sub.EnteredBy, Comment: sub.Comment}).Error
}

// keepReplaced keeps answers that do not count.
func keepReplaced(tx *gorm.DB, row replacedRow, answers []answerRow) error {
	if err := tx.Create(&row).Error; err != nil {
		return err
	}
	return insert(tx, each(answers, func(a answerRow) replacedAnswerRow {
		return replacedAnswerRow{ReplacedID: row.ID, ServingID: a.ServingID, Attribute: a.Attribute, Value: a.Value}
	}))
}

// finish notes that an assessor has no plate left to answer for, from the sitting on at
// which they joined. Names are read before the first plate or not at all.
func finish(tx *gorm.DB, assessorID panel.AssessorID, at time.Time) error {
	return tx.Exec(`UPDATE assessors SET finished_at = ? WHERE id = ? AND finished_at IS NULL AND NOT EXISTS (
		SELECT 1 FROM turns WHERE turns.study_id = assessors.study_id AND turns.place = assessors.place
			AND turns.refused_at IS NULL AND turns.role <> 'expected'
			AND turns.sitting >= (SELECT number FROM sittings WHERE sittings.id = assessors.sitting_id)
			AND NOT EXISTS (SELECT 1 FROM answered_turns WHERE answered_turns.turn_id = turns.id))`,
		instant(at), assessorID).Error
}
