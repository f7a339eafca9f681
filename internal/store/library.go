package store

import (
	"context"
	"database/sql"
	"time"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// AmendStudy adds a draft as the next version of a study.
func (s *Store) AmendStudy(ctx context.Context, asked panel.Study, amended, begun panel.Event) (panel.Study, error) {
	var stored panel.Study
	err := s.writing(ctx, "amend study", func(tx *gorm.DB) error {
		versions, err := lockSeries(tx, asked.Amends)
		if err != nil {
			return err
		}
		last := versions[len(versions)-1]
		switch {
		case last.ID != asked.Amends:
			return panel.ErrAmended
		case last.State == panel.Draft.String():
			return panel.ErrWrongState
		}
		count, err := progressOf(tx, last.ID)
		if err != nil {
			return err
		}
		next := asked
		next.Series, next.Version, next.RatingsBefore = last.Series, last.Version+1, count.Servings
		if err := addDraft(tx, next, last.ID); err != nil {
			return err
		}
		if err := appendEvent(tx, amended); err != nil {
			return err
		}
		if err := appendEvent(tx, begun); err != nil {
			return err
		}
		stored, err = viewedStudy(tx, next.ID)
		return err
	})
	return stored, err
}

// CountersignStudy keeps a countersignature. The submissions tell whether there
// was a rating, even one that was withdrawn since.
func (s *Store) CountersignStudy(ctx context.Context, id panel.StudyID, c panel.Countersign, e panel.Event) error {
	return s.writing(ctx, "countersign study", func(tx *gorm.DB) error {
		if err := requireState(tx, id, panel.Locked, panel.Open); err != nil {
			return err
		}
		var before int64
		err := tx.Raw(`SELECT (SELECT COUNT(*) FROM countersignatures WHERE study_id = @study)
			+ (SELECT COUNT(*) FROM submissions JOIN assessors ON assessors.id = submissions.assessor_id
				WHERE assessors.study_id = @study)`,
			sql.Named("study", id)).Scan(&before).Error
		if err != nil {
			return err
		}
		if before > 0 {
			return panel.ErrWrongState
		}
		row := rowOfCountersign(id, c)
		if err := tx.Create(&row).Error; err != nil {
			return err
		}
		if err := noExport(tx, id); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// ArchiveStudy notes when a study was put away.
func (s *Store) ArchiveStudy(ctx context.Context, id panel.StudyID, at time.Time, e panel.Event) error {
	return s.writing(ctx, "archive study", func(tx *gorm.DB) error {
		if _, err := lockStudy(tx, id, lockState); err != nil {
			return err
		}
		if err := updateStudy(tx, id, studyRow{ArchivedAt: instantOrNull(at)}, "ArchivedAt"); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// NoteExport notes when a study was exported.
func (s *Store) NoteExport(ctx context.Context, exported panel.Study, at time.Time, e panel.Event) error {
	return s.writing(ctx, "note export", func(tx *gorm.DB) error {
		row, err := lockStudy(tx, exported.ID, lockState)
		if err != nil {
			return err
		}
		if row.State != exported.State.String() || row.Revision != exported.Revision {
			return panel.ErrStale
		}
		if err := updateStudy(tx, exported.ID, studyRow{ExportedAt: instantOrNull(at)}, "ExportedAt"); err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// DeleteStudy deletes a study and leaves one entry in the log of the service.
func (s *Store) DeleteStudy(ctx context.Context, id panel.StudyID, how panel.Deletion,
	tombstone func(panel.Study, panel.Progress, panel.LogEnd) panel.Event) error {
	return s.writing(ctx, "delete study", func(tx *gorm.DB) error {
		versions, err := lockSeries(tx, id)
		if err != nil {
			return err
		}
		row, err := lockStudy(tx, id, lockState)
		switch {
		case err != nil:
			return err
		case row.State == panel.Open.String():
			return panel.ErrWrongState
		case versions[len(versions)-1].ID != id:
			return panel.ErrAmended
		case !row.ExportedAt.Valid && !how.Unexported:
			return panel.ErrNotExported
		}
		gone, err := viewedStudy(tx, id)
		if err != nil {
			return err
		}
		count, err := progressOf(tx, id)
		if err != nil {
			return err
		}
		var end logEndRow
		if err := tx.Limit(1).Find(&end, "study_id = ?", id).Error; err != nil {
			return err
		}
		if how.Keep != nil {
			if err := keepVerdict(tx, *how.Keep); err != nil {
				return err
			}
		}
		for _, statement := range deleteStudy {
			if err := tx.Exec(statement, sql.Named("study", id)).Error; err != nil {
				return err
			}
		}
		return appendEvent(tx, tombstone(gone, count, panel.LogEnd{Number: end.Number, Hash: end.Hash}))
	})
}

// What belongs to a study, in the words of a WHERE.
const (
	itsTurns     = "turn_id IN (SELECT id FROM turns WHERE study_id = @study)"
	itsServings  = "serving_id IN (SELECT id FROM servings WHERE " + itsTurns + ")"
	itsSittings  = "sitting_id IN (SELECT id FROM sittings WHERE study_id = @study)"
	itsAssessors = "assessor_id IN (SELECT id FROM assessors WHERE study_id = @study)"
	itsReplaced  = "replaced_id IN (SELECT id FROM replaced_turns WHERE " + itsTurns + ")"
)

// deleteStudy deletes what belongs to a study: each table before those that it
// refers to.
var deleteStudy = []string{
	"DELETE FROM replaced_answers WHERE " + itsReplaced,
	"DELETE FROM replaced_turns WHERE " + itsTurns,
	"DELETE FROM submissions WHERE " + itsAssessors,
	"DELETE FROM answers WHERE " + itsTurns,
	"DELETE FROM answered_turns WHERE " + itsTurns,
	"DELETE FROM dropped_codes WHERE " + itsServings,
	"DELETE FROM incidents WHERE " + itsTurns,
	"DELETE FROM spare_codes WHERE study_id = @study",
	"DELETE FROM acts WHERE study_id = @study",
	"DELETE FROM temperatures WHERE " + itsSittings,
	"DELETE FROM staff_links WHERE " + itsSittings,
	"DELETE FROM declines WHERE " + itsSittings,
	"DELETE FROM freed_links WHERE " + itsSittings,
	"DELETE FROM sessions WHERE study_id = @study",
	"DELETE FROM assessors WHERE study_id = @study",
	"DELETE FROM dealt WHERE study_id = @study",
	"DELETE FROM sittings WHERE study_id = @study",
	"DELETE FROM servings WHERE " + itsTurns,
	"DELETE FROM turns WHERE study_id = @study",
	"DELETE FROM found_differences WHERE study_id = @study",
	"DELETE FROM verdict_lines WHERE study_id = @study",
	"DELETE FROM draft_texts WHERE study_id = @study",
	"DELETE FROM photos WHERE study_id = @study",
	"DELETE FROM shared_reports WHERE study_id = @study",
	"DELETE FROM countersignatures WHERE study_id = @study",
	"DELETE FROM time_stamps WHERE study_id = @study",
	"DELETE FROM events WHERE study_id = @study",
	"DELETE FROM log_ends WHERE study_id = @study",
	"DELETE FROM user_roles WHERE series = (SELECT series FROM studies WHERE id = @study) AND NOT EXISTS " +
		"(SELECT 1 FROM studies AS another WHERE another.series = user_roles.series AND another.id <> @study)",
	"DELETE FROM studies WHERE id = @study",
}
