package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
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
	var outcome panel.Outcome
	err := s.writing(ctx, "record answers", func(tx *gorm.DB) (err error) {
		outcome, err = submit(tx, sub, judge)
		return err
	})
	if err != nil {
		return 0, err
	}
	return outcome, nil
}

// SubmitAll takes submissions as the first answers of their turns, all of them or none.
func (s *Store) SubmitAll(ctx context.Context, subs []panel.Submitted,
	judge func(i int, st panel.Standing) (panel.Outcome, *panel.Event), e panel.Event) error {
	return s.writing(ctx, "record answers of many", func(tx *gorm.DB) error {
		for i, sub := range subs {
			outcome, err := submit(tx, sub, func(st panel.Standing) (panel.Outcome, *panel.Event) {
				return judge(i, st)
			})
			if err != nil {
				return err
			}
			if outcome == panel.AfterClose {
				return panel.ErrNotOpen
			}
			if outcome != panel.Recorded {
				return panel.ErrRated
			}
		}
		return appendEvent(tx, e)
	})
}

// submit takes a submission within a transaction.
func submit(tx *gorm.DB, sub panel.Submitted,
	judge func(panel.Standing) (panel.Outcome, *panel.Event)) (panel.Outcome, error) {
	sub.At = instant(sub.At)
	assessor, closed, mayNot := lockSubmitter(tx, sub.AssessorID)
	if mayNot != nil && !refusal(mayNot) {
		return 0, mayNot
	}
	// Whatever has become of the study: it was taken. Asked under the lock, since the
	// same submission may have come twice at once.
	taken, turn, standing, err := standingOf(tx, assessor, sub)
	switch {
	case err != nil:
		return 0, err
	case taken:
		return panel.Repeated, nil
	case mayNot != nil:
		return 0, mayNot
	case turn.ID == "":
		return 0, panel.ErrNotFound
	}
	if err := soundAnswers(turn, sub.Answers); err != nil {
		return 0, err
	}
	closed = closed || sub.Ended
	standing.Closed = closed
	outcome, e := judge(standing)
	if closed != (outcome == panel.AfterClose) {
		return 0, fmt.Errorf("a submission cannot be judged %q, closed: %t", outcome, closed)
	}
	if err := writeJudged(tx, assessor.StudyID, turn, sub, outcome); err != nil {
		return 0, err
	}
	_, err = execute(tx, "INSERT INTO submissions (assessor_id, id, turn_id, taken_at, outcome) "+
		"VALUES ($1, $2, $3, $4, $5)", string(sub.AssessorID), sub.ID, string(sub.TurnID), sub.At, outcome.String())
	if err != nil || e == nil {
		return outcome, err
	}
	return outcome, appendEvent(tx, *e)
}

// soundAnswers checks that answers to a turn can be kept.
func soundAnswers(turn answeredTurn, answers []panel.Answer) error {
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

// submitter is an assessor who answers.
type submitter struct {
	ID        panel.AssessorID
	StudyID   panel.StudyID
	SittingID panel.SittingID
	Place     int
}

// answeredTurn is what a submission needs to know of its turn.
type answeredTurn struct {
	ID, Response string
	Refused      bool
	Last         bool // no other plate of the assessor's is to be answered, from the sitting on at which they joined
}

// lockSubmitter keeps an assessor and the state of their study as they are until the
// transaction ends: the study first, as everywhere. It tells whether the study is closed,
// and, as a [refusal], why nothing may be answered.
func lockSubmitter(tx *gorm.DB, id panel.AssessorID) (a submitter, closed bool, err error) {
	statement := `SELECT assessors.study_id, assessors.sitting_id, assessors.place,
		assessors.withdrawn_at IS NOT NULL, studies.state
		FROM assessors JOIN studies ON studies.id = assessors.study_id WHERE assessors.id = CAST($1 AS text)`
	if tx.Name() == "postgres" { // in SQLite writing transactions run one by one
		statement += " FOR " + lockRating + " OF studies FOR " + lockSeating + " OF assessors"
	}
	a.ID = id
	var withdrawn bool
	var word string
	if err := one(tx, statement, []any{string(id)}, &a.StudyID, &a.SittingID, &a.Place, &withdrawn,
		&word); err != nil {
		return a, false, err
	}
	state, err := stateOf(word)
	switch {
	case err != nil:
		return a, false, err
	case state != panel.Open && state != panel.Closed:
		return a, false, panel.ErrNotOpen
	case withdrawn:
		return a, false, panel.ErrWithdrawn
	}
	return a, state == panel.Closed, nil
}

// refusal tells whether an error says that an assessor may not answer.
func refusal(err error) bool {
	return errors.Is(err, panel.ErrNotOpen) || errors.Is(err, panel.ErrWithdrawn)
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

// standingStatement asks all that judging needs. The turn is the assessor's, at a sitting that is
// open and no earlier than the one at which they joined; a name that is read belongs to no sitting.
// The sign before a sitting keeps both databases from looking for turns by it, through all places
// of a sitting: an assessor's place has few.
const standingStatement = `WITH
	joined AS (SELECT number FROM sittings WHERE sittings.id = CAST($1 AS text)),
	here AS (SELECT turns.id, turns.response, turns.turn_order, turns.refused_at FROM turns
		JOIN sittings ON sittings.study_id = turns.study_id AND sittings.number = turns.sitting
			AND sittings.opened_at IS NOT NULL
		WHERE turns.id = CAST($2 AS text) AND turns.study_id = CAST($3 AS text) AND turns.place = CAST($4 AS integer)
			AND (turns.role = 'expected' OR sittings.number >= (SELECT number FROM joined))),
	answered AS (SELECT answered_turns.turn_id, answered_turns.seq, turns.role, turns.turn_order FROM answered_turns
		JOIN turns ON turns.id = answered_turns.turn_id WHERE answered_turns.assessor_id = CAST($5 AS text))
	SELECT EXISTS (SELECT 1 FROM submissions
			WHERE submissions.assessor_id = CAST($5 AS text) AND submissions.id = CAST($6 AS text)),
		here.id, here.response, here.refused_at IS NOT NULL,
		NOT EXISTS (SELECT 1 FROM turns WHERE turns.study_id = CAST($3 AS text) AND turns.place = CAST($4 AS integer)
			AND turns.refused_at IS NULL AND turns.role <> 'expected' AND turns.id <> CAST($2 AS text)
			AND +turns.sitting >= (SELECT number FROM joined)
			AND NOT EXISTS (SELECT 1 FROM answered_turns WHERE answered_turns.turn_id = turns.id)),
		answered.turn_id, answered.seq, answered.role
	FROM (SELECT 1) AS always LEFT JOIN here ON TRUE
		LEFT JOIN answered ON answered.turn_order >= here.turn_order ORDER BY answered.turn_order`

// standingOf tells whether the id of a submission is known, in whatever state the study is, and
// what judging needs: the turn, without an id where it is not the assessor's to answer, the answers
// that it has, and which later turns of the assessor have some.
func standingOf(tx *gorm.DB, a submitter, sub panel.Submitted) (taken bool, turn answeredTurn, st panel.Standing,
	err error) {
	type row struct {
		taken, refused, last bool
		id, response         sql.NullString
		earlier, role        sql.NullString
		seq                  sql.NullInt64
	}
	rows, err := all(tx, standingStatement, []any{string(a.SittingID), string(sub.TurnID), string(a.StudyID), a.Place,
		string(a.ID), sub.ID}, func(r *row) []any {
		return []any{&r.taken, &r.id, &r.response, &r.refused, &r.last, &r.earlier, &r.seq, &r.role}
	})
	if err != nil || len(rows) == 0 {
		return false, turn, st, err
	}
	first := rows[0]
	turn = answeredTurn{ID: first.id.String, Response: first.response.String, Refused: first.refused,
		Last: first.last}
	for _, r := range rows {
		switch {
		case !r.earlier.Valid:
		case r.earlier.String == turn.ID:
			st.Held, st.HeldSeq = true, int(r.seq.Int64)
		default:
			st.Later = append(st.Later, int(r.seq.Int64))
			if r.role.String != design.Expected.String() {
				st.Plates = append(st.Plates, int(r.seq.Int64))
			}
		}
	}
	return first.taken, turn, st, nil
}

// writeJudged does with a submission what was judged.
func writeJudged(tx *gorm.DB, studyID panel.StudyID, turn answeredTurn, sub panel.Submitted,
	outcome panel.Outcome) error {
	aside := replacedRow{TurnID: string(sub.TurnID), Seq: sub.Seq, EnteredBy: sub.EnteredBy,
		Comment: sub.Comment, GivenAt: sub.At, ReplacedAt: sub.At}
	switch outcome {
	case panel.Recorded:
		return record(tx, turn, sub)
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
func record(tx *gorm.DB, turn answeredTurn, sub panel.Submitted) error {
	_, err := execute(tx, `INSERT INTO answered_turns (turn_id, assessor_id, answered_at, given_at, seq, entered_by,
		waited_ms, comment) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`, turn.ID, string(sub.AssessorID), sub.At, sub.At,
		sub.Seq, sub.EnteredBy, sub.Waited.Milliseconds(), sub.Comment)
	if err != nil {
		return err
	}
	if err := keepAnswers(tx, rowsOfAnswers(sub)); err != nil {
		return err
	}
	if turn.Refused {
		_, err := execute(tx, "UPDATE turns SET refused_at = NULL WHERE id = CAST($1 AS text)", turn.ID)
		if err != nil {
			return err
		}
	}
	if !sub.RestedAt.IsZero() {
		_, err := execute(tx, "UPDATE assessors SET rested_at = $1 WHERE id = CAST($2 AS text)",
			instant(sub.RestedAt), string(sub.AssessorID))
		if err != nil {
			return err
		}
	}
	if !turn.Last {
		return nil
	}
	return finish(tx, sub.AssessorID, sub.At)
}

// keepAnswers adds the answers of a turn, in one statement while they are few.
func keepAnswers(tx *gorm.DB, rows []answerRow) error {
	if len(rows) > fewAnswers {
		return insert(tx, rows)
	}
	if len(rows) == 0 {
		return nil
	}
	statement, values := answersInsert(len(rows)), make([]any, 0, 4*len(rows))
	for _, r := range rows {
		values = append(values, r.TurnID, r.ServingID, r.Attribute, r.Value)
	}
	_, err := execute(tx, statement, values...)
	return err
}

// fewAnswers are as many as most turns have; each number of them is a statement of its own,
// which a connection keeps prepared.
const fewAnswers = 12

func answersInsert(rows int) string {
	places := make([]string, rows)
	for i := range places {
		places[i] = fmt.Sprintf("($%d, $%d, $%d, $%d)", 4*i+1, 4*i+2, 4*i+3, 4*i+4)
	}
	return "INSERT INTO answers (turn_id, serving_id, attribute, value) VALUES " + strings.Join(places, ", ")
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
// which they joined. Names are read before the first plate or not at all. The sign before
// the sitting keeps both databases from looking for turns by it, through all places of a
// sitting: an assessor's place has few.
func finish(tx *gorm.DB, assessorID panel.AssessorID, at time.Time) error {
	_, err := execute(tx, `UPDATE assessors SET finished_at = $1 WHERE id = CAST($2 AS text) AND finished_at IS NULL
		AND NOT EXISTS (
		SELECT 1 FROM turns WHERE turns.study_id = assessors.study_id AND turns.place = assessors.place
			AND turns.refused_at IS NULL AND turns.role <> 'expected'
			AND +turns.sitting >= (SELECT number FROM sittings WHERE sittings.id = assessors.sitting_id)
			AND NOT EXISTS (SELECT 1 FROM answered_turns WHERE answered_turns.turn_id = turns.id))`,
		instant(at), string(assessorID))
	return err
}
