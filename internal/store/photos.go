package store

import (
	"context"
	"database/sql"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// SetPhoto keeps or, when it is empty, removes the photo of a dish.
func (s *Store) SetPhoto(ctx context.Context, studyID panel.StudyID, p panel.Photo) error {
	return s.writing(ctx, "keep photo", func(tx *gorm.DB) error {
		if err := requireState(tx, studyID, panel.Draft); err != nil {
			return err
		}
		if err := noExport(tx, studyID); err != nil {
			return err
		}
		if len(p.JPEG) == 0 {
			return tx.Delete(&photoRow{}, "study_id = ? AND dish = ?", studyID, string(p.Dish)).Error
		}
		row := rowOfPhoto(studyID, p)
		return tx.Clauses(clause.OnConflict{
			Columns:   []clause.Column{{Name: "study_id"}, {Name: "dish"}},
			DoUpdates: clause.AssignmentColumns([]string{"jpeg"}),
		}).Create(&row).Error
	})
}

// noExport notes that something has changed since a study was exported.
func noExport(tx *gorm.DB, studyID panel.StudyID) error {
	return updateStudy(tx, studyID, studyRow{ExportedAt: sql.NullTime{}}, "ExportedAt")
}

// Photo returns the photo of a dish.
func (s *Store) Photo(ctx context.Context, studyID panel.StudyID, dish study.DishID) (panel.Photo, error) {
	var row photoRow
	err := s.reading(ctx, "read photo", func(db *gorm.DB) error {
		return db.Take(&row, "study_id = ? AND dish = ?", studyID, string(dish)).Error
	})
	return row.photo(), err
}

// PhotoDishes returns the dishes that have a photo, by their bytes.
func (s *Store) PhotoDishes(ctx context.Context, studyID panel.StudyID) ([]study.DishID, error) {
	var dishes []study.DishID
	err := s.reading(ctx, "list photos", func(db *gorm.DB) error {
		return db.Model(&photoRow{}).Where("study_id = ?", studyID).Order("dish").Pluck("dish", &dishes).Error
	})
	return dishes, err
}
