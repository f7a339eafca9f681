package store

import (
	"cmp"
	"context"
	"database/sql"
	"time"

	"gorm.io/gorm"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

type dealtRow struct {
	StudyID panel.StudyID
	Arrival int
	Place   int
	Stratum int32
	Sample  string
	DealtAt time.Time
}

func (dealtRow) TableName() string { return "dealt" }

func (r dealtRow) dealt() panel.Dealt {
	return panel.Dealt{Arrival: r.Arrival, Place: r.Place, Stratum: r.Stratum, Sample: study.SampleID(r.Sample),
		At: r.DealtAt.UTC()}
}

// Dealt returns what was dealt on arrival, in the order of arrival.
func (s *Store) Dealt(ctx context.Context, studyID panel.StudyID) ([]panel.Dealt, error) {
	var rows []dealtRow
	err := s.reading(ctx, "list what was dealt", func(db *gorm.DB) error {
		return db.Order("arrival").Find(&rows, "study_id = ?", studyID).Error
	})
	return each(rows, dealtRow.dealt), err
}

// placeOf returns the place that a newcomer of a stratum gets at a sitting: one that was
// dealt to that stratum and is free again, else the next that was not dealt yet.
func placeOf(tx *gorm.DB, sitting sittingRow, stratum int32) (place int, dealt bool, err error) {
	const here = `SELECT stratum FROM dealt WHERE dealt.study_id = planned.study_id AND dealt.place = planned.place`
	var again, fresh sql.NullInt64
	free := func() *gorm.DB { return freePlaces(tx, sitting.StudyID, sitting.Number).Select("MIN(place)") }
	if err := free().Where("("+here+") = ?", stratum).Scan(&again).Error; err != nil || again.Valid {
		return int(again.Int64), true, err
	}
	if err := free().Where("NOT EXISTS (" + here + ")").Scan(&fresh).Error; err != nil || fresh.Valid {
		return int(fresh.Int64), false, err
	}
	if err := free().Scan(&fresh).Error; err != nil || !fresh.Valid {
		return 0, false, cmp.Or(err, panel.ErrFull)
	}
	return 0, false, panel.ErrGroupFull
}

// deal finds the place of a newcomer and deals the sample, unless the place has one.
func deal(tx *gorm.DB, sitting sittingRow, d *panel.Dealing, at time.Time) (panel.Dealt, error) {
	place, again, err := placeOf(tx, sitting, d.Stratum)
	if err != nil {
		return panel.Dealt{}, err
	}
	var rows []dealtRow
	if err := tx.Order("arrival").Find(&rows, "study_id = ?", sitting.StudyID).Error; err != nil {
		return panel.Dealt{}, err
	}
	if again {
		return dealtAt(rows, place)
	}
	sample, name, err := d.Deal(each(rows, dealtRow.dealt))
	if err != nil {
		return panel.Dealt{}, err
	}
	row := dealtRow{StudyID: sitting.StudyID, Arrival: len(rows) + 1, Place: place, Stratum: d.Stratum,
		Sample: string(sample), DealtAt: instant(at)}
	if err := tx.Create(&row).Error; err != nil {
		return panel.Dealt{}, err
	}
	return row.dealt(), giveSample(tx, row, name)
}

func dealtAt(rows []dealtRow, place int) (panel.Dealt, error) {
	for _, r := range rows {
		if r.Place == place {
			dealt := r.dealt()
			dealt.Again = true
			return dealt, nil
		}
	}
	return panel.Dealt{}, gorm.ErrRecordNotFound
}

// giveSample writes what was dealt to a place on its plates, and the name that goes with
// it where one is read before tasting.
func giveSample(tx *gorm.DB, row dealtRow, name study.NameID) error {
	theirs := tx.Model(&turnRow{}).Select("id").Where("study_id = ? AND place = ?", row.StudyID, row.Place)
	plates := tx.Model(&servingRow{}).Where("role = ? AND turn_id IN (?)", design.Rated.String(), theirs)
	if err := plates.Update("sample", row.Sample).Error; err != nil {
		return err
	}
	return tx.Model(&turnRow{}).Where("study_id = ? AND place = ? AND role = ?", row.StudyID, row.Place,
		design.Expected.String()).Update("name", string(name)).Error
}
