package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// Seat gives the lowest free place of a sitting to an assessor, or the one that is theirs
// when samples are dealt on arrival, once per tokenHash.
func (s *Store) Seat(ctx context.Context, a panel.Assessor, tokenHash panel.TokenHash, d *panel.Dealing,
	note func(panel.Assessor) panel.Event) (panel.Assessor, error) {
	var seated assessorRow
	err := s.writing(ctx, "seat assessor", func(tx *gorm.DB) error {
		var sitting sittingRow
		if err := tx.Select("id, study_id, number, opened_at").Take(&sitting, "id = ? AND study_id = ?", a.SittingID,
			a.StudyID).Error; err != nil {
			return err
		}
		study, err := lockStudy(tx, sitting.StudyID, lockSeating)
		if err != nil {
			return err
		}
		// Asked after the lock, so that of two requests with the same token the
		// second sees what the first one did.
		err = tx.Take(&seated, "token_hash = ?", tokenHash).Error
		if !errors.Is(err, gorm.ErrRecordNotFound) {
			return err
		}
		if study.State != panel.Open.String() || !sitting.OpenedAt.Valid {
			return panel.ErrNotOpen
		}
		var dealt panel.Dealt
		if d == nil {
			a.Place, err = placeAtTable(tx, sitting, a.Table, a.Alike)
		} else {
			dealt, err = deal(tx, sitting, d, a.JoinedAt)
			a.Place = dealt.Place
		}
		if err != nil {
			return err
		}
		if a.TableSeat, err = nextSeatAt(tx, sitting.ID, a.Table, a.ID); err != nil {
			return err
		}
		// Whoever had the place went before any plate; until now that could be undone.
		if err := removeAssessors(tx, "study_id = ? AND place = ?", a.StudyID, a.Place); err != nil {
			return err
		}
		seated = rowOfAssessor(a, tokenHash)
		if err := tx.Create(&seated).Error; err != nil {
			return err
		}
		if err := appendEvent(tx, note(seated.assessor())); err != nil || d == nil {
			return err
		}
		return appendEvent(tx, d.Note(dealt))
	})
	if err != nil {
		return panel.Assessor{}, err
	}
	return seated.assessor(), nil
}

// touched is a turn of which something was set down, or that was opened or refused.
const touched = `(turns.refused_at IS NOT NULL OR turns.opened_at IS NOT NULL
	OR EXISTS (SELECT 1 FROM servings WHERE servings.turn_id = turns.id AND servings.served_at IS NOT NULL))`

// freePlaces are the turns at a sitting whose places nobody has: nobody was given
// them, or whoever was left or withdrew before a plate was set down, refused or rated.
func freePlaces(db *gorm.DB, studyID panel.StudyID, sitting int) *gorm.DB {
	return vacantPlaces(db, studyID).Where("sitting = ?", sitting)
}

// vacantPlaces are those of every sitting. Which places are taken is found once, not anew for each turn.
func vacantPlaces(db *gorm.DB, studyID panel.StudyID) *gorm.DB {
	return db.Table("turns AS planned").
		Where("study_id = ?", studyID).
		Where(`place NOT IN (SELECT assessors.place FROM assessors WHERE assessors.study_id = ?
			AND (assessors.left_at IS NULL AND assessors.withdrawn_at IS NULL
				OR EXISTS (SELECT 1 FROM submissions WHERE submissions.assessor_id = assessors.id)
				OR EXISTS (SELECT 1 FROM turns
					WHERE turns.study_id = assessors.study_id AND turns.place = assessors.place AND `+touched+`)))`,
			studyID)
}

// lowestFreePlace returns the place that comes next at a sitting.
func lowestFreePlace(tx *gorm.DB, sitting sittingRow) (int, error) {
	var place sql.NullInt64
	err := freePlaces(tx, sitting.StudyID, sitting.Number).Select("MIN(place)").Scan(&place).Error
	if err == nil && !place.Valid {
		err = panel.ErrFull
	}
	return int(place.Int64), err
}

// FreePlaces counts the places of a sitting that are not taken.
func (s *Store) FreePlaces(ctx context.Context, studyID panel.StudyID, sitting int) (int, error) {
	var free int64
	err := s.reading(ctx, "count free places", func(db *gorm.DB) error {
		return freePlaces(db, studyID, sitting).Distinct("place").Count(&free).Error
	})
	return int(free), err
}

// VacantPlaces returns the places of a study that are not taken.
func (s *Store) VacantPlaces(ctx context.Context, studyID panel.StudyID) (places []int, err error) {
	err = s.reading(ctx, "list free places", func(db *gorm.DB) error {
		return vacantPlaces(db, studyID).Distinct().Order("place").Pluck("place", &places).Error
	})
	return places, err
}

// AssessorByToken returns the assessor that a personal link belongs to.
func (s *Store) AssessorByToken(ctx context.Context, tokenHash panel.TokenHash) (panel.Assessor, error) {
	var row assessorRow
	err := s.reading(ctx, "find assessor", func(db *gorm.DB) error {
		return db.Take(&row, "token_hash = ?", tokenHash).Error
	})
	return row.assessor(), err
}

// Assessors returns the assessors of a study by place.
func (s *Store) Assessors(ctx context.Context, studyID panel.StudyID) ([]panel.Assessor, error) {
	var rows []assessorRow
	err := s.reading(ctx, "list assessors", func(db *gorm.DB) (err error) {
		rows, err = find[assessorRow](db.Where("study_id = ?", studyID).Order("place"))
		return err
	})
	return each(rows, assessorRow.assessor), err
}

// Start notes when an assessor first had read the instructions.
func (s *Store) Start(ctx context.Context, assessorID panel.AssessorID, at time.Time) error {
	return s.writing(ctx, "start ballot", func(tx *gorm.DB) error {
		if err := tx.Select("id").Take(&assessorRow{}, "id = ?", assessorID).Error; err != nil {
			return err
		}
		return tx.Model(&assessorRow{}).Where("id = ? AND started_at IS NULL", assessorID).
			Update("started_at", instant(at)).Error
	})
}
