package store

import (
	"context"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// countProgress counts in the database and in one statement, so that its numbers
// belong to one moment. A place counts the servings from the sitting on at which
// its assessor joined, and none once they withdrew; servings that are not rated, such as a warm-up, count nowhere.
const countProgress = `
SELECT
  (SELECT COUNT(DISTINCT place) FROM servings WHERE study_id = @study) AS places,
  (SELECT COUNT(*) FROM assessors WHERE study_id = @study) AS joined,
  (SELECT COUNT(*) FROM assessors WHERE study_id = @study AND started_at IS NOT NULL) AS started,
  (SELECT COUNT(*) FROM assessors WHERE study_id = @study AND finished_at IS NULL AND EXISTS (
     SELECT 1 FROM rated_servings JOIN servings ON servings.id = rated_servings.serving_id
     WHERE rated_servings.assessor_id = assessors.id AND servings.code <> '')) AS tasting,
  (SELECT COUNT(*) FROM assessors WHERE study_id = @study AND finished_at IS NOT NULL) AS finished,
  (SELECT COUNT(*) FROM declines JOIN sittings ON sittings.id = declines.sitting_id
     WHERE sittings.study_id = @study) AS declined,
  (SELECT COUNT(*) FROM rated_servings JOIN servings ON servings.id = rated_servings.serving_id
     WHERE servings.study_id = @study AND servings.rated) AS servings,
  (SELECT COUNT(*) FROM assessors
     JOIN sittings ON sittings.id = assessors.sitting_id
     JOIN servings ON servings.study_id = assessors.study_id AND servings.place = assessors.place
       AND servings.sitting >= sittings.number
     WHERE assessors.study_id = @study AND assessors.withdrawn_at IS NULL AND servings.rated) AS expected
FROM studies WHERE id = @study`

// Progress counts what has happened in a study so far.
func (s *Store) Progress(ctx context.Context, studyID string) (count panel.Progress, err error) {
	err = s.look(ctx, "count progress", func(db *gorm.DB) error {
		count, err = progressOf(db, studyID)
		return err
	})
	return count, err
}

func progressOf(db *gorm.DB, studyID string) (panel.Progress, error) {
	var row struct{ Places, Joined, Started, Tasting, Finished, Declined, Servings, Expected int }
	err := db.Raw(countProgress, map[string]any{"study": studyID}).Take(&row).Error
	return panel.Progress(row), err
}
