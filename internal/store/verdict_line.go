package store

import (
	"context"
	"fmt"
	"slices"
	"strings"

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

// verdictsAtOnce is how many lines one statement reads: it asks for the same number each time, so that
// a connection keeps it prepared.
const verdictsAtOnce = 50

// VerdictLines returns those of some studies that a build said and in whose study's log nothing came
// since that changes what was found.
func (s *Store) VerdictLines(ctx context.Context, program string, of []panel.StudyID) ([]panel.VerdictLine, error) {
	var lines []panel.VerdictLine
	err := s.reading(ctx, "list verdicts", func(db *gorm.DB) error { // each line stands by itself
		lines = nil // of an attempt that broke off
		for some := range slices.Chunk(of, verdictsAtOnce) {
			values := []any{program}
			for i := range verdictsAtOnce {
				values = append(values, some[min(i, len(some)-1)])
			}
			read, err := all(db, readVerdicts, values, func(l *panel.VerdictLine) []any {
				return []any{&l.StudyID, &l.Said, &l.People, &l.AsOf, &l.Program}
			})
			if err != nil {
				return err
			}
			lines = append(lines, read...)
		}
		return nil
	})
	return lines, err
}

var readVerdicts = verdictsQuery()

func verdictsQuery() string {
	places := make([]string, verdictsAtOnce)
	for i := range places {
		places[i] = fmt.Sprintf("CAST($%d AS text)", i+2)
	}
	return `SELECT study_id, said, people, as_of, program FROM verdict_lines AS line
		WHERE program = CAST($1 AS text) AND study_id IN (` + strings.Join(places, ", ") + `)
		AND NOT EXISTS (SELECT 1 FROM events WHERE events.study_id = line.study_id AND events.number > line.as_of
		AND events.what NOT IN ('` + strings.Join(panel.LeaveFindings, "', '") + `'))`
}
