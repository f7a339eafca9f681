package store

import (
	"context"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

// verdictRow is what a closed study found, in a line.
type verdictRow struct {
	StudyID panel.StudyID `gorm:"primaryKey"`
	Said    string
	People  int
	AsOf    int
	Program string
}

func (verdictRow) TableName() string { return "verdict_lines" }

// LastEntry is the number of the last entry in a study's log; 0 when it has none.
func (s *Store) LastEntry(ctx context.Context, studyID panel.StudyID) (last int, err error) {
	err = s.reading(ctx, "find the last entry of a log", func(db *gorm.DB) error {
		return db.Raw("SELECT number FROM log_ends WHERE study_id = ?", studyID).Scan(&last).Error
	})
	return last, err
}

// KeepVerdictLine keeps a line in the place of the one before.
func (s *Store) KeepVerdictLine(ctx context.Context, line panel.VerdictLine) error {
	return s.writing(ctx, "keep a verdict", func(tx *gorm.DB) error {
		if err := requireState(tx, line.StudyID, panel.Closed); err != nil {
			return err
		}
		row := verdictRow(line)
		return tx.Clauses(clause.OnConflict{UpdateAll: true}).Create(&row).Error
	})
}

// VerdictLines returns those of a build in whose study's log nothing came since that changes
// what was found.
func (s *Store) VerdictLines(ctx context.Context, program string) ([]panel.VerdictLine, error) {
	var rows []verdictRow
	err := s.reading(ctx, "list verdicts", func(db *gorm.DB) (err error) {
		rows, err = find[verdictRow](db.Where("program = ?", program).
			Where("NOT EXISTS (SELECT 1 FROM events WHERE events.study_id = verdict_lines.study_id "+
				"AND events.number > verdict_lines.as_of AND events.what NOT IN ?)", panel.LeaveFindings).
			Order("study_id"))
		return err
	})
	return each(rows, func(r verdictRow) panel.VerdictLine { return panel.VerdictLine(r) }), err
}
