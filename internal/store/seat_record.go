package store

import (
	"context"
	"database/sql"
	"fmt"
	"strings"
	"sync"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/schema"

	"cloche/internal/panel"
)

// seatView is a serving of an assessor with what it takes to say what comes next.
type seatView struct {
	Assessor assessorRow `gorm:"embedded;embeddedPrefix:assessors_"`
	Study    studyRow    `gorm:"embedded;embeddedPrefix:studies_"`
	Serving  servingRow  `gorm:"embedded;embeddedPrefix:servings_"`
	RatedAt  sql.NullTime
	Opened   bool // the sitting of the serving
	Joined   int  // number of the sitting at which the assessor joined
}

// seatColumns names every column of the rows in [seatView] but the study's file,
// which is by far the longest and does not change.
var seatColumns = sync.OnceValues(func() (string, error) {
	all, err := schema.Parse(&seatView{}, &sync.Map{}, schema.NamingStrategy{})
	if err != nil {
		return "", err
	}
	var columns []string
	for _, name := range all.DBNames {
		table, column, _ := strings.Cut(name, "_")
		switch table {
		case "assessors", "studies", "servings":
			if name != "studies_file" {
				columns = append(columns, fmt.Sprintf("%s.%s AS %s", table, column, name))
			}
		}
	}
	return strings.Join(columns, ", ") + ", rated_servings.rated_at, here.opened_at IS NOT NULL AS opened, joined.number AS joined", nil
})

// SeatByToken returns the assessor that a personal link belongs to, with their
// study and servings. It is one statement, so that all of it is of one moment; and
// it is what every page of a phone asks first.
func (s *Store) SeatByToken(ctx context.Context, tokenHash string) (panel.SeatRecord, error) {
	columns, err := seatColumns()
	if err != nil {
		return panel.SeatRecord{}, err
	}
	var rows []seatView
	err = s.look(ctx, "find seat", func(db *gorm.DB) error {
		return db.Table("assessors").Select(columns).
			Joins("JOIN studies ON studies.id = assessors.study_id").
			Joins("JOIN sittings joined ON joined.id = assessors.sitting_id").
			Joins("JOIN servings ON servings.study_id = assessors.study_id AND servings.place = assessors.place").
			Joins("LEFT JOIN sittings here ON here.study_id = servings.study_id AND here.number = servings.sitting").
			Joins("LEFT JOIN rated_servings ON rated_servings.serving_id = servings.id AND rated_servings.assessor_id = assessors.id").
			Where("assessors.token_hash = ?", tokenHash).Order("servings.serving_order").Find(&rows).Error
	})
	if err == nil && len(rows) == 0 { // every place has servings
		err = fmt.Errorf("find seat: %w", panel.ErrNotFound)
	}
	if err != nil {
		return panel.SeatRecord{}, err
	}
	return seatRecord(rows)
}

func seatRecord(rows []seatView) (panel.SeatRecord, error) {
	kept, err := rows[0].Study.study()
	r := panel.SeatRecord{Assessor: rows[0].Assessor.assessor(), Study: kept, Joined: rows[0].Joined,
		Opened: map[int]bool{}, Answered: map[string]time.Time{}}
	for _, row := range rows {
		r.Servings = append(r.Servings, row.Serving.serving())
		if row.RatedAt.Valid {
			r.Answered[row.Serving.ID] = row.RatedAt.Time.UTC()
		}
		if row.Opened {
			r.Opened[row.Serving.Sitting] = true
		}
	}
	return r, err
}
