package store

import (
	"context"
	"database/sql"
	"reflect"
	"sync"
	"time"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// seatView is a serving of an assessor with what it takes to say what comes next; a
// name that is read has none.
type seatView struct {
	Assessor assessorRow `gorm:"embedded;embeddedPrefix:assessors_"`
	Study    studyRow    `gorm:"embedded;embeddedPrefix:studies_"`
	Turn     turnRow     `gorm:"embedded;embeddedPrefix:turns_"`
	Serving  servingRow  `gorm:"embedded;embeddedPrefix:servings_"`
	Answered sql.NullTime
	Opened   bool // the sitting of the turn
	Joined   int  // number of the sitting at which the assessor joined
}

// seatQuery is the statement that reads a seat, and where its columns go. It leaves out
// the study's file, which is by far the longest and does not change. It is run without
// GORM: every page of a phone asks it first.
var seatQuery = sync.OnceValues(func() (q struct {
	statement string
	fields    [][]int // of [seatView], in the order of the columns
}, err error) {
	columns, fields, err := viewColumns(&seatView{}, "studies_file")
	q.fields = append(fields, []int{4}, []int{5}, []int{6}) // Answered, Opened and Joined
	q.statement = "SELECT " + columns + `, answered_turns.answered_at, here.opened_at IS NOT NULL, joined.number
		FROM assessors
		JOIN studies ON studies.id = assessors.study_id
		JOIN sittings joined ON joined.id = assessors.sitting_id
		JOIN turns ON turns.study_id = assessors.study_id AND turns.place = assessors.place
		LEFT JOIN servings ON servings.turn_id = turns.id
		LEFT JOIN sittings here ON here.study_id = turns.study_id AND here.number = turns.sitting
		LEFT JOIN answered_turns ON answered_turns.turn_id = turns.id
			AND answered_turns.assessor_id = assessors.id
		WHERE assessors.token_hash = CAST($1 AS text)
		ORDER BY turns.turn_order, servings.serving_order`
	return q, err
})

// SeatByToken returns the assessor that a personal link belongs to, with their
// study and turns. It is one statement, so that all of it is of one moment.
func (s *Store) SeatByToken(ctx context.Context, tokenHash panel.TokenHash) (panel.SeatRecord, error) {
	q, err := seatQuery()
	if err != nil {
		return panel.SeatRecord{}, err
	}
	var rows []seatView
	err = s.reading(ctx, "find seat", func(db *gorm.DB) (err error) {
		rows, err = all(db, q.statement, []any{string(tokenHash)}, func(v *seatView) []any {
			into := make([]any, len(q.fields))
			for i, at := range q.fields {
				into[i] = orZero{reflect.ValueOf(v).Elem().FieldByIndex(at)}
			}
			return into
		})
		return err
	})
	if err == nil && len(rows) == 0 { // every place has turns: it is nobody's link, or was freed
		err = s.reading(ctx, "find seat", func(db *gorm.DB) error { return freed(db, tokenHash) })
	}
	if err != nil {
		return panel.SeatRecord{}, err
	}
	return seatRecord(rows)
}

func seatRecord(rows []seatView) (panel.SeatRecord, error) {
	stored, err := rows[0].Study.study()
	if err != nil {
		return panel.SeatRecord{}, err
	}
	r := panel.SeatRecord{Assessor: rows[0].Assessor.assessor(), Study: stored, Joined: rows[0].Joined,
		Opened: map[int]bool{}, Answered: map[panel.TurnID]time.Time{}}
	for _, row := range rows {
		if row.Answered.Valid {
			r.Answered[panel.TurnID(row.Turn.ID)] = row.Answered.Time.UTC()
		}
		if row.Opened {
			r.Opened[row.Turn.Sitting] = true
		}
	}
	r.Turns, err = turnsOf(rows, func(v seatView) plateView { return plateView{v.Turn, v.Serving} })
	return r, err
}
