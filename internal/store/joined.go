package store

import (
	"context"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

type joinedStudyRow struct {
	ID       panel.JoinedID
	Origin   panel.StudyID
	House    string
	ClosedAt time.Time
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
		row := joinedStudyRow{j.ID, j.Origin, j.House, instant(j.ClosedAt)}
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
		return appendEvent(tx, e)
	})
}

// LeaveRecord deletes what another house found.
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
