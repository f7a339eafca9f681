package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// servingsPerInsert keeps a statement under the 32766 values that SQLite takes
// (SQLite documentation, "Implementation Limits", SQLITE_MAX_VARIABLE_NUMBER).
const servingsPerInsert = 500

// CreateStudy adds a draft; [panel.ErrWrongState] when s is no draft.
func (s *Store) CreateStudy(ctx context.Context, asked panel.Study) error {
	return s.change(ctx, "create study", func(tx *gorm.DB) error {
		if asked.State != panel.Draft {
			return panel.ErrWrongState
		}
		row := rowOfStudy(asked)
		return tx.Create(&row).Error
	})
}

// Study returns a study by its id.
func (s *Store) Study(ctx context.Context, id string) (panel.Study, error) {
	var row studyRow
	err := s.look(ctx, "read study", func(db *gorm.DB) error {
		return db.Take(&row, "id = ?", id).Error
	})
	if err != nil {
		return panel.Study{}, err
	}
	return row.study()
}

// Studies returns every study, the newest first.
func (s *Store) Studies(ctx context.Context) ([]panel.Study, error) {
	var rows []studyRow
	err := s.look(ctx, "list studies", func(db *gorm.DB) error {
		return db.Order("created_at DESC, id").Find(&rows).Error
	})
	if err != nil {
		return nil, err
	}
	studies := make([]panel.Study, len(rows))
	for i, row := range rows {
		if studies[i], err = row.study(); err != nil {
			return nil, err
		}
	}
	return studies, nil
}

// LockStudy turns a draft into a locked study with its servings, whose StudyID
// is set to id, and its spare codes.
func (s *Store) LockStudy(ctx context.Context, id string, lock panel.Lock, servings []panel.Serving, spares []panel.Spare) error {
	rows := each(servings, rowOfServing)
	for i := range rows {
		rows[i].StudyID = id
	}
	codes := each(spares, func(x panel.Spare) spareRow { return rowOfSpare(id, x) })
	return s.change(ctx, "lock study", func(tx *gorm.DB) error {
		if err := requireState(tx, id, panel.Draft); err != nil {
			return err
		}
		row := studyRow{State: panel.Locked.String()}
		row.setLock(lock)
		if err := updateStudy(tx, id, row, "State", "LockedAt", "Seed", "Engine", "StudyHash", "PlanHash"); err != nil {
			return err
		}
		if len(rows) > 0 {
			if err := tx.CreateInBatches(rows, servingsPerInsert).Error; err != nil {
				return err
			}
		}
		if len(codes) == 0 {
			return nil
		}
		return tx.CreateInBatches(codes, servingsPerInsert).Error
	})
}

// CloseStudy sets an open study closed.
func (s *Store) CloseStudy(ctx context.Context, id string, at time.Time) error {
	return s.change(ctx, "close study", func(tx *gorm.DB) error {
		if err := requireState(tx, id, panel.Open); err != nil {
			return err
		}
		return updateStudy(tx, id, studyRow{State: panel.Closed.String(), ClosedAt: instantOrNull(at)}, "State", "ClosedAt")
	})
}

// requireState locks a study for a change of its state and checks that it is in
// one of the given states.
func requireState(tx *gorm.DB, id string, allowed ...panel.State) error {
	row, err := lockStudy(tx, id, lockState)
	if err != nil {
		return err
	}
	for _, state := range allowed {
		if row.State == state.String() {
			return nil
		}
	}
	return panel.ErrWrongState
}

// updateStudy sets the named fields of a study to those of row.
func updateStudy(tx *gorm.DB, id string, row studyRow, fields ...string) error {
	return tx.Model(&studyRow{}).Where("id = ?", id).Select(fields).Updates(row).Error
}
