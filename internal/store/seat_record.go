package store

import (
	"context"
	"database/sql"
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

// seatColumns are those of [seatView] but the study's file, which is by far the longest
// and does not change.
var seatColumns = sync.OnceValues(func() (string, error) {
	columns, err := viewColumns(&seatView{}, "studies_file")
	return columns + ", answered_turns.answered_at AS answered, here.opened_at IS NOT NULL AS opened, " +
		"joined.number AS joined", err
})

// SeatByToken returns the assessor that a personal link belongs to, with their
// study and turns. It is one statement, so that all of it is of one moment; and
// it is what every page of a phone asks first.
func (s *Store) SeatByToken(ctx context.Context, tokenHash panel.TokenHash) (panel.SeatRecord, error) {
	columns, err := seatColumns()
	if err != nil {
		return panel.SeatRecord{}, err
	}
	var rows []seatView
	err = s.reading(ctx, "find seat", func(db *gorm.DB) error {
		return db.Table("assessors").Select(columns).
			Joins("JOIN studies ON studies.id = assessors.study_id").
			Joins("JOIN sittings joined ON joined.id = assessors.sitting_id").
			Joins("JOIN turns ON turns.study_id = assessors.study_id AND turns.place = assessors.place").
			Joins("LEFT JOIN servings ON servings.turn_id = turns.id").
			Joins("LEFT JOIN sittings here ON here.study_id = turns.study_id AND here.number = turns.sitting").
			Joins("LEFT JOIN answered_turns ON answered_turns.turn_id = turns.id AND answered_turns.assessor_id = "+
				"assessors.id").
			Where("assessors.token_hash = ?", tokenHash).Order("turns.turn_order, " +
			"servings.serving_order").Find(&rows).Error
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
