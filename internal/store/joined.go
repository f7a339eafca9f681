package store

import (
	"context"
	"errors"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/analysis"
	"cloche/internal/panel"
)

type joinedStudyRow struct {
	ID       panel.JoinedID
	Origin   panel.StudyID
	House    string
	ClosedAt time.Time
	Title    string
	Said     string
	People   int
	Invented bool
}

func (joinedStudyRow) TableName() string { return "joined_studies" }

type joinedDifferenceRow struct {
	JoinedID   panel.JoinedID
	Difference differenceColumns `gorm:"embedded"`
}

func (joinedDifferenceRow) TableName() string { return "joined_differences" }

// JoinRecord keeps what another house found.
func (s *Store) JoinRecord(ctx context.Context, j panel.JoinedStudy, e panel.Event) error {
	return s.writing(ctx, "join the record", func(tx *gorm.DB) error {
		var own int64
		err := tx.Table("joined_studies").Where("origin = ? AND house = ''", j.Origin).Count(&own).Error
		if err != nil {
			return err
		}
		if own > 0 {
			return panel.ErrJoined
		}
		if err := addJoined(tx, j); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// addJoined keeps what a study found; [panel.ErrJoined] when it is there.
func addJoined(tx *gorm.DB, j panel.JoinedStudy) error {
	row := joinedStudyRow{j.ID, j.Origin, j.House, instant(j.ClosedAt), j.Title, j.Said, j.People, j.Invented}
	made := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&row)
	switch {
	case made.Error != nil:
		return made.Error
	case made.RowsAffected == 0:
		return panel.ErrJoined
	}
	for _, f := range j.Found {
		if err := tx.Create(&joinedDifferenceRow{j.ID, columnsOfDifference(f)}).Error; err != nil {
			return err
		}
	}
	return nil
}

// keepVerdict leaves in the record what a study found that is about to be deleted.
func keepVerdict(tx *gorm.DB, kept panel.JoinedStudy) error {
	var rows []foundDifferenceRow
	if err := tx.Order("attribute").Find(&rows, "study_id = ?", kept.Origin).Error; err != nil {
		return err
	}
	kept.Found = each(rows, func(r foundDifferenceRow) analysis.FoundDifference {
		return r.Difference.foundDifference()
	})
	return addJoined(tx, kept)
}

// dropVerdict deletes what was kept of a study that is here again: it would count twice.
func dropVerdict(tx *gorm.DB, id panel.StudyID) error {
	const its = "origin = ? AND house = ''"
	err := tx.Exec("DELETE FROM joined_differences WHERE joined_id IN (SELECT id FROM joined_studies WHERE "+its+")",
		id).Error
	return errors.Join(err, tx.Delete(&joinedStudyRow{}, its, id).Error)
}

// KeptVerdicts returns what is kept of the house's own studies that are deleted.
func (s *Store) KeptVerdicts(ctx context.Context) ([]panel.JoinedStudy, error) {
	var rows []joinedStudyRow
	err := s.reading(ctx, "list kept verdicts", func(db *gorm.DB) error {
		return db.Order("closed_at DESC, id").Find(&rows, "house = ''").Error
	})
	return each(rows, func(r joinedStudyRow) panel.JoinedStudy {
		return panel.JoinedStudy{ID: r.ID, Origin: r.Origin, ClosedAt: r.ClosedAt.UTC(), Title: r.Title, Said: r.Said,
			People: r.People, Invented: r.Invented}
	}), err
}

// LeaveRecord deletes what another house found, or what was kept of a study.
func (s *Store) LeaveRecord(ctx context.Context, id panel.JoinedID, e panel.Event) error {
	return s.writing(ctx, "leave the record", func(tx *gorm.DB) error {
		if err := tx.Delete(&joinedDifferenceRow{}, "joined_id = ?", id).Error; err != nil {
			return err
		}
		gone := tx.Delete(&joinedStudyRow{}, "id = ?", id)
		switch {
		case gone.Error != nil:
			return gone.Error
		case gone.RowsAffected == 0:
			return panel.ErrNotFound
		}
		return appendEvent(tx, e)
	})
}

// JoinedDifferences returns what other houses found, what was closed first first.
func (s *Store) JoinedDifferences(ctx context.Context) ([]panel.RecordedDifference, error) {
	var rows []struct {
		Row      joinedDifferenceRow `gorm:"embedded"`
		House    string
		ClosedAt time.Time
	}
	err := s.reading(ctx, "list what other houses found", func(db *gorm.DB) error {
		return db.Table("joined_differences").Select("joined_differences.*, house, closed_at").
			Joins("JOIN joined_studies ON joined_studies.id = joined_differences.joined_id").
			Order("joined_studies.closed_at, joined_studies.id, joined_differences.attribute").Find(&rows).Error
	})
	all := make([]panel.RecordedDifference, len(rows))
	for i, r := range rows {
		all[i] = panel.RecordedDifference{Joined: r.Row.JoinedID, House: r.House, ClosedAt: r.ClosedAt,
			Found: r.Row.Difference.foundDifference()}
	}
	return all, err
}
