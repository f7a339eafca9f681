package store

import (
	"context"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// countProgress counts in the database and in one statement, so that its numbers
// belong to one moment. Servings that nothing is asked about, such as a warm-up, count nowhere.
const countProgress = `
SELECT
  (SELECT COUNT(DISTINCT place) FROM turns WHERE study_id = @study) AS places,
  (SELECT COUNT(*) FROM assessors WHERE study_id = @study) AS joined,
  (SELECT COUNT(*) FROM answered_turns JOIN turns ON turns.id = answered_turns.turn_id
    JOIN servings ON servings.turn_id = turns.id
     WHERE turns.study_id = @study AND servings.role = 'rated') AS servings
FROM studies WHERE id = @study`

// Progress counts what has happened in a study so far.
func (s *Store) Progress(ctx context.Context, studyID panel.StudyID) (count panel.Progress, err error) {
	err = s.reading(ctx, "count progress", func(db *gorm.DB) error {
		count, err = progressOf(db, studyID)
		return err
	})
	return count, err
}

func progressOf(db *gorm.DB, studyID panel.StudyID) (panel.Progress, error) {
	var row struct{ Places, Joined, Servings int }
	err := db.Raw(countProgress, map[string]any{"study": studyID}).Take(&row).Error
	return panel.Progress(row), err
}
