package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// foundDifferenceRow is an analysis.FoundDifference of a study.
type foundDifferenceRow struct {
	StudyID    panel.StudyID
	Difference differenceColumns `gorm:"embedded"`
}

// differenceColumns are what an analysis.FoundDifference is kept as.
type differenceColumns struct {
	Attribute string
	Title     string
	Question  string
	Contrast  string
	Asked     string
	Scale     string
	ScaleFrom float64
	ScaleTo   float64
	People    int
	SD        float64 `gorm:"column:sd"`
	Invented  bool

	FirstSample, SecondSample string
	Alike                     string
	Difference                float64
	Decides                   bool
	Smallest                  float64
	Counted                   bool
	LogE                      float64 `gorm:"column:log_e"`
	Stopping                  string
	Low, High                 float64
}

func (foundDifferenceRow) TableName() string { return "found_differences" }

func rowOfFoundDifference(studyID panel.StudyID, f analysis.FoundDifference) foundDifferenceRow {
	return foundDifferenceRow{studyID, columnsOfDifference(f)}
}

func columnsOfDifference(f analysis.FoundDifference) differenceColumns {
	return differenceColumns{Attribute: string(f.Attribute), Title: f.Study,
		Question: string(f.Question),
		Contrast: string(f.Contrast), Asked: f.Asked, Scale: string(f.Scale), ScaleFrom: f.From, ScaleTo: f.To,
		People: f.People, SD: f.SD, Invented: f.Invented,
		FirstSample: f.Samples[0], SecondSample: f.Samples[1], Alike: f.Alike, Difference: f.Difference,
		Decides: f.Decides, Smallest: f.Smallest, Counted: f.Counted, LogE: f.LogE,
		Stopping: string(f.Stopping), Low: f.Low, High: f.High}
}

func (r differenceColumns) foundDifference() analysis.FoundDifference {
	return analysis.FoundDifference{Study: r.Title, Question: study.Question(r.Question),
		Contrast:  analysis.Contrast(r.Contrast),
		Attribute: study.AttributeID(r.Attribute), Asked: r.Asked, Scale: study.ScaleKind(r.Scale), From: r.ScaleFrom,
		To:     r.ScaleTo,
		People: r.People, SD: r.SD, Invented: r.Invented,
		Samples: [2]string{r.FirstSample, r.SecondSample}, Alike: r.Alike, Difference: r.Difference, Decides: r.Decides,
		Smallest: r.Smallest, Counted: r.Counted, LogE: r.LogE,
		Stopping: analysis.StopsBy(r.Stopping), Low: r.Low, High: r.High}
}

// KeepDifferences puts what find makes of the ratings of a closed study in the place of
// what was kept of it.
func (s *Store) KeepDifferences(ctx context.Context, studyID panel.StudyID,
	find func([]panel.KeyedAnswer) []analysis.FoundDifference) error {
	return s.writing(ctx, "keep spreads", func(tx *gorm.DB) error {
		if err := requireState(tx, studyID, panel.Closed); err != nil {
			return err
		}
		rated, err := keyedIn(tx, studyID)
		if err != nil {
			return err
		}
		if err := tx.Exec("DELETE FROM found_differences WHERE study_id = ?", studyID).Error; err != nil {
			return err
		}
		for _, f := range find(rated) {
			row := rowOfFoundDifference(studyID, f)
			if err := tx.Create(&row).Error; err != nil {
				return err
			}
		}
		return tx.Exec("UPDATE studies SET differences_kept = TRUE WHERE id = ?", studyID).Error
	})
}

// DifferencesMissing returns the closed studies of which no spreads are kept.
func (s *Store) DifferencesMissing(ctx context.Context) (ids []panel.StudyID, err error) {
	err = s.reading(ctx, "list studies without spreads", func(db *gorm.DB) error {
		return db.Table("studies").Where("state = ? AND NOT differences_kept",
			panel.Closed.String()).Order("id").Pluck("id", &ids).Error
	})
	return ids, err
}

// FoundDifferences returns the spreads of the closed studies that asked the same kind of
// question on the same scale, the latest study first.
func (s *Store) FoundDifferences(ctx context.Context, like analysis.FoundDifference, of panel.UserID) (
	[]analysis.FoundDifference, error) {
	var rows []foundDifferenceRow
	err := s.reading(ctx, "list spreads", func(db *gorm.DB) error {
		all := db.Table("found_differences").Select("found_differences.*").
			Joins("JOIN studies ON studies.id = found_differences.study_id")
		if of != "" {
			all = all.Where("studies.series IN (SELECT series FROM user_roles WHERE user_id = ?)", of)
		}
		return all.Where("question = ? AND contrast = ? AND scale = ? AND scale_from = ? AND scale_to = ?",
			string(like.Question), string(like.Contrast), string(like.Scale), like.From, like.To).
			Order("studies.closed_at DESC, studies.id, found_differences.attribute").
			Find(&rows).Error
	})
	return each(rows, func(r foundDifferenceRow) analysis.FoundDifference {
		return r.Difference.foundDifference()
	}), err
}

// AllDifferences returns what is kept of every closed study, the earliest study first.
func (s *Store) AllDifferences(ctx context.Context) ([]panel.RecordedDifference, error) {
	var rows []struct {
		Row      foundDifferenceRow `gorm:"embedded"`
		ClosedAt time.Time
	}
	err := s.reading(ctx, "list differences", func(db *gorm.DB) error {
		return db.Table("found_differences").Select("found_differences.*, studies.closed_at").
			Joins("JOIN studies ON studies.id = found_differences.study_id").
			Order("studies.closed_at, studies.id, found_differences.attribute").Find(&rows).Error
	})
	all := make([]panel.RecordedDifference, len(rows))
	for i, r := range rows {
		all[i] = panel.RecordedDifference{Study: r.Row.StudyID, ClosedAt: r.ClosedAt,
			Found: r.Row.Difference.foundDifference()}
	}
	return all, err
}
