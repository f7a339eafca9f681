package store

import (
	"context"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// SaveDraft keeps a text after the one that stands, in the place of what was undone.
func (s *Store) SaveDraft(ctx context.Context, id panel.StudyID, revision int, file string,
	keep int) (saved panel.Study,
	err error) {
	err = s.writing(ctx, "save draft", func(tx *gorm.DB) error {
		row, err := requireDraft(tx, id, revision)
		if err != nil {
			return err
		}
		if row.File != file {
			if err := keepText(tx, row, file, keep); err != nil {
				return err
			}
		}
		saved, err = viewedStudy(tx, id)
		return err
	})
	return saved, err
}

func keepText(tx *gorm.DB, row studyRow, file string, keep int) error {
	next := row.TextNumber + 1
	err := tx.Delete(&draftTextRow{}, "study_id = ? AND (number >= ? OR number < ?)", row.ID, next, next-keep).Error
	if err != nil {
		return err
	}
	if err := tx.Create(&draftTextRow{StudyID: row.ID, Number: next, File: file}).Error; err != nil {
		return err
	}
	return putText(tx, row, next, file)
}

// putText makes a text the one that stands. Nothing has been exported of it yet.
func putText(tx *gorm.DB, row studyRow, number int, file string) error {
	return updateStudy(tx, row.ID, studyRow{File: file, TextNumber: number, Revision: row.Revision + 1}, "File",
		"TextNumber", "Revision", "ExportedAt")
}

// StepDraft goes back or forth among the texts that are kept.
func (s *Store) StepDraft(ctx context.Context, id panel.StudyID, revision, by int) (stepped panel.Study, err error) {
	err = s.writing(ctx, "step draft", func(tx *gorm.DB) error {
		row, err := requireDraft(tx, id, revision)
		if err != nil {
			return err
		}
		var text draftTextRow
		if err := tx.Take(&text, "study_id = ? AND number = ?", id, row.TextNumber+by).Error; err != nil {
			return err
		}
		if err := putText(tx, row, text.Number, text.File); err != nil {
			return err
		}
		stepped, err = viewedStudy(tx, id)
		return err
	})
	return stepped, err
}
