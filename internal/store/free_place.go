package store

import (
	"context"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// FreePlace takes an assessor away who never tasted. The lock on the assessor keeps
// plates and answers from arriving meanwhile.
func (s *Store) FreePlace(ctx context.Context, assessorID string, e panel.Event) error {
	return s.change(ctx, "free a place", func(tx *gorm.DB) error {
		assessor, _, err := lockAssessor(tx, assessorID, panel.Open)
		if err != nil {
			return err
		}
		var out, sent int64
		theirs := tx.Model(&turnRow{}).Where("study_id = ? AND place = ?", assessor.StudyID, assessor.Place)
		if err := theirs.Where(touched).Count(&out).Error; err != nil {
			return err
		}
		if err := tx.Model(&submissionRow{}).Where("assessor_id = ?", assessor.ID).Count(&sent).Error; err != nil {
			return err
		}
		if out+sent > 0 {
			return panel.ErrTasted
		}
		if err := tx.Delete(&assessorRow{}, "id = ?", assessor.ID).Error; err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}
