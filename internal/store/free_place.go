package store

import (
	"context"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

// freedLinkRow is the link of an assessor whose place was freed.
type freedLinkRow struct {
	TokenHash panel.TokenHash
	SittingID panel.SittingID
}

func (freedLinkRow) TableName() string { return "freed_links" }

// removeAssessors takes assessors away who never tasted. Of each, the link is kept that
// they hold.
func removeAssessors(tx *gorm.DB, which string, args ...any) error {
	var gone []assessorRow
	if err := tx.Where(which, args...).Find(&gone).Error; err != nil || len(gone) == 0 {
		return err
	}
	for _, a := range gone {
		if err := forgetIncidents(tx, a); err != nil {
			return err
		}
		if a.TokenHash == "" {
			continue
		}
		// The same form sent again gave the same link to the next place.
		if err := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&freedLinkRow{TokenHash: a.TokenHash,
			SittingID: a.SittingID}).Error; err != nil {
			return err
		}
	}
	return tx.Delete(&assessorRow{}, append([]any{which}, args...)...).Error
}

// freed returns a [panel.FreedError] when a personal link is one whose place was freed.
func freed(db *gorm.DB, tokenHash panel.TokenHash) error {
	var sitting sittingRow
	err := db.Select("sittings.join_token").Joins("JOIN freed_links ON freed_links.sitting_id = sittings.id").
		Take(&sitting, "freed_links.token_hash = ?", tokenHash).Error
	if err != nil {
		return err
	}
	return &panel.FreedError{Join: sitting.JoinToken}
}

// FreePlace takes an assessor away who never tasted. The lock on the assessor keeps
// plates and answers from arriving meanwhile.
func (s *Store) FreePlace(ctx context.Context, assessorID panel.AssessorID, e panel.Event) error {
	return s.writing(ctx, "free a place", func(tx *gorm.DB) error {
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
		if err := removeAssessors(tx, "id = ?", assessor.ID); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}
