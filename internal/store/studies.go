package store

import (
	"context"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

// rowsPerInsert keeps a statement under the 32766 values that SQLite takes
// (SQLite documentation, "Implementation Limits", SQLITE_MAX_VARIABLE_NUMBER).
const rowsPerInsert = 500

// CreateStudy adds a draft; [panel.ErrWrongState] when s is no draft.
func (s *Store) CreateStudy(ctx context.Context, asked panel.Study, photosOf panel.StudyID, e panel.Event) error {
	return s.writing(ctx, "create study", func(tx *gorm.DB) error {
		if err := addDraft(tx, asked, photosOf); err != nil {
			return err
		}
		err := tx.Exec("INSERT INTO user_roles (user_id, series, role) SELECT user_id, ?, role FROM user_roles "+
			"WHERE series = (SELECT series FROM studies WHERE id = ?)", asked.ID, photosOf).Error
		if err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// addDraft adds a draft with its first text and the photos of another study.
func addDraft(tx *gorm.DB, asked panel.Study, photosOf panel.StudyID) error {
	if asked.State != panel.Draft {
		return panel.ErrWrongState
	}
	row := rowOfStudy(asked)
	if err := tx.Create(&row).Error; err != nil {
		return err
	}
	if err := tx.Create(&draftTextRow{StudyID: row.ID, Number: row.TextNumber, File: row.File}).Error; err != nil {
		return err
	}
	return tx.Exec("INSERT INTO photos (study_id, dish, jpeg) SELECT ?, dish, jpeg FROM photos WHERE study_id = ?",
		row.ID, photosOf).Error
}

// viewed reads studies with what stands in other tables.
func viewed(db *gorm.DB) *gorm.DB {
	return db.Table("studies").Select(`studies.*,
			EXISTS (SELECT 1 FROM draft_texts t
				WHERE t.study_id = studies.id AND t.number < studies.text_number) AS can_undo,
			EXISTS (SELECT 1 FROM draft_texts t
				WHERE t.study_id = studies.id AND t.number > studies.text_number) AS can_redo,
			c.name AS signed_name, c.signed_at, c.study_hash AS signed_study, c.plan_hash AS signed_plan`).
		Joins("LEFT JOIN countersignatures c ON c.study_id = studies.id")
}

func viewedStudy(db *gorm.DB, id panel.StudyID) (panel.Study, error) {
	var row studyView
	if err := viewed(db).Take(&row, "studies.id = ?", id).Error; err != nil {
		return panel.Study{}, err
	}
	return row.study()
}

// Study returns a study by its id.
func (s *Store) Study(ctx context.Context, id panel.StudyID) (found panel.Study, err error) {
	err = s.reading(ctx, "read study", func(db *gorm.DB) error {
		found, err = viewedStudy(db, id)
		return err
	})
	return found, err
}

// listStudies reads what a list says: with a thousand studies, each column costs a tenth of the whole.
const listStudies = `SELECT id, state, created_at, locked_at, closed_at, revision, series, version, archived_at,
	forgotten_at FROM studies ORDER BY created_at DESC, id`

// Studies returns every study, the newest first, with what [panel.Study.Listed] leaves of it.
func (s *Store) Studies(ctx context.Context) ([]panel.Study, error) {
	var rows []listedRow
	err := s.reading(ctx, "list studies", func(db *gorm.DB) (err error) {
		rows, err = all(db, listStudies, nil, func(r *listedRow) []any {
			return []any{&r.ID, &r.State, &r.Created, &r.LockedAt, &r.ClosedAt, &r.Revision, &r.Series, &r.Version,
				&r.ArchivedAt, &r.ForgottenAt}
		})
		return err
	})
	if err != nil {
		return nil, err
	}
	return studiesOf(rows)
}

// Versions returns the versions of a study by their numbers.
func (s *Store) Versions(ctx context.Context, series panel.StudyID) ([]panel.Study, error) {
	var rows []studyView
	err := s.reading(ctx, "list versions", func(db *gorm.DB) error {
		return viewed(db).Where("studies.series = ?", series).Order("studies.version").Find(&rows).Error
	})
	if err != nil {
		return nil, err
	}
	return studiesOf(rows)
}

func studiesOf[Row interface{ study() (panel.Study, error) }](rows []Row) (studies []panel.Study, err error) {
	studies = make([]panel.Study, len(rows))
	for i, row := range rows {
		if studies[i], err = row.study(); err != nil {
			return nil, err
		}
	}
	return studies, nil
}

// LockStudy turns a draft into a locked study with its turns and its spare codes. Its
// earlier texts go.
func (s *Store) LockStudy(ctx context.Context, id panel.StudyID, revision int, lock panel.Lock, turns []panel.Turn,
	spares []panel.Spare, e panel.Event) error {
	planned := each(turns, func(t panel.Turn) turnRow { return rowOfTurn(id, t) })
	var plates []servingRow
	for _, t := range turns {
		plates = append(plates, each(t.Servings, func(v panel.Serving) servingRow { return rowOfServing(t.ID, v) })...)
	}
	codes := each(spares, func(x panel.Spare) spareRow { return rowOfSpare(id, x) })
	return s.writing(ctx, "lock study", func(tx *gorm.DB) error {
		if _, err := lockSeries(tx, id); err != nil {
			return err
		}
		if _, err := requireDraft(tx, id, revision); err != nil {
			return err
		}
		row := studyRow{State: panel.Locked.String()}
		row.setLock(lock)
		if err := updateStudy(tx, id, row, "State", "LockedAt", "Seed", "Engine", "StudyHash", "PlanHash",
			"ExportedAt"); err != nil {
			return err
		}
		if err := tx.Delete(&draftTextRow{}, "study_id = ?", id).Error; err != nil {
			return err
		}
		if err := insert(tx, planned); err != nil {
			return err
		}
		if err := insert(tx, plates); err != nil {
			return err
		}
		if err := insert(tx, codes); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// insert adds rows, which may be none.
func insert[Row any](tx *gorm.DB, rows []Row) error {
	if len(rows) == 0 {
		return nil
	}
	return tx.CreateInBatches(rows, rowsPerInsert).Error
}

// CloseStudy sets an open study closed, and logs e.
func (s *Store) CloseStudy(ctx context.Context, id panel.StudyID, at time.Time, e panel.Event) error {
	return s.writing(ctx, "close study", func(tx *gorm.DB) error {
		if err := requireState(tx, id, panel.Open); err != nil {
			return err
		}
		row := studyRow{State: panel.Closed.String(), ClosedAt: instantOrNull(at)}
		if err := updateStudy(tx, id, row, "State", "ClosedAt", "ExportedAt"); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// NoteStudy notes how an open study comes to its end.
func (s *Store) NoteStudy(ctx context.Context, id panel.StudyID, n panel.StudyNote, e panel.Event) error {
	return s.writing(ctx, "note study", func(tx *gorm.DB) error {
		if err := requireState(tx, id, panel.Open); err != nil {
			return err
		}
		noted := int64(0)
		for column, at := range map[string]*time.Time{"last_call_at": n.LastCall, "closing_at": n.Closing} {
			if at == nil {
				continue
			}
			done := tx.Model(&studyRow{}).Where("id = ? AND "+column+" IS NULL", id).Update(column, instant(*at))
			if done.Error != nil {
				return done.Error
			}
			noted += done.RowsAffected
		}
		if noted == 0 {
			return nil
		}
		return appendEvent(tx, e)
	})
}

// requireState locks a study for a change of its state and checks that it is in
// one of the given states.
func requireState(tx *gorm.DB, id panel.StudyID, allowed ...panel.State) error {
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

// requireDraft locks a draft and checks that it is at a revision.
func requireDraft(tx *gorm.DB, id panel.StudyID, revision int) (studyRow, error) {
	row, err := lockStudy(tx, id, lockState)
	switch {
	case err != nil:
		return row, err
	case row.State != panel.Draft.String():
		return row, panel.ErrWrongState
	case row.Revision != revision:
		return row, panel.ErrStale
	}
	return row, nil
}

// lockSeries locks every version of the study that id is one of, and returns them
// by version: what one may do depends on the states of the others.
func lockSeries(tx *gorm.DB, id panel.StudyID) ([]studyRow, error) {
	var one studyRow
	if err := tx.Select("series").Take(&one, "id = ?", id).Error; err != nil {
		return nil, err
	}
	var all []studyRow
	err := tx.Clauses(clause.Locking{Strength: lockState}).Order("version").Find(&all, "series = ?", one.Series).Error
	return all, err
}

// updateStudy sets the named fields of a study to those of row.
func updateStudy(tx *gorm.DB, id panel.StudyID, row studyRow, fields ...string) error {
	return tx.Model(&studyRow{}).Where("id = ?", id).Select(fields).Updates(row).Error
}
