package store

import (
	"context"

	"gorm.io/gorm"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// foundSpreadRow is an analysis.FoundSpread of a study.
type foundSpreadRow struct {
	StudyID   panel.StudyID
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
}

func (foundSpreadRow) TableName() string { return "found_spreads" }

func rowOfFoundSpread(studyID panel.StudyID, f analysis.FoundSpread) foundSpreadRow {
	return foundSpreadRow{StudyID: studyID, Attribute: string(f.Attribute), Title: f.Study,
		Question: string(f.Question),
		Contrast: string(f.Contrast), Asked: f.Asked, Scale: string(f.Scale), ScaleFrom: f.From, ScaleTo: f.To,
		People: f.People, SD: f.SD, Invented: f.Invented}
}

func (r foundSpreadRow) foundSpread() analysis.FoundSpread {
	return analysis.FoundSpread{Study: r.Title, Question: study.Question(r.Question),
		Contrast:  analysis.Contrast(r.Contrast),
		Attribute: study.AttributeID(r.Attribute), Asked: r.Asked, Scale: study.ScaleKind(r.Scale), From: r.ScaleFrom,
		To:     r.ScaleTo,
		People: r.People, SD: r.SD, Invented: r.Invented}
}

// KeepSpreads puts what find makes of the ratings of a closed study in the place of
// what was kept of it.
func (s *Store) KeepSpreads(ctx context.Context, studyID panel.StudyID,
	find func([]panel.KeyedAnswer) []analysis.FoundSpread) error {
	return s.writing(ctx, "keep spreads", func(tx *gorm.DB) error {
		if err := requireState(tx, studyID, panel.Closed); err != nil {
			return err
		}
		rated, err := keyedIn(tx, studyID)
		if err != nil {
			return err
		}
		if err := tx.Exec("DELETE FROM found_spreads WHERE study_id = ?", studyID).Error; err != nil {
			return err
		}
		for _, f := range find(rated) {
			row := rowOfFoundSpread(studyID, f)
			if err := tx.Create(&row).Error; err != nil {
				return err
			}
		}
		return tx.Exec("UPDATE studies SET spreads_kept = TRUE WHERE id = ?", studyID).Error
	})
}

// SpreadsMissing returns the closed studies of which no spreads are kept.
func (s *Store) SpreadsMissing(ctx context.Context) (ids []panel.StudyID, err error) {
	err = s.reading(ctx, "list studies without spreads", func(db *gorm.DB) error {
		return db.Table("studies").Where("state = ? AND NOT spreads_kept",
			panel.Closed.String()).Order("id").Pluck("id", &ids).Error
	})
	return ids, err
}

// FoundSpreads returns the spreads of the closed studies that asked the same kind of
// question on the same scale, the latest study first.
func (s *Store) FoundSpreads(ctx context.Context, like analysis.FoundSpread) ([]analysis.FoundSpread, error) {
	var rows []foundSpreadRow
	err := s.reading(ctx, "list spreads", func(db *gorm.DB) error {
		return db.Table("found_spreads").Select("found_spreads.*").
			Joins("JOIN studies ON studies.id = found_spreads.study_id").
			Where("question = ? AND contrast = ? AND scale = ? AND scale_from = ? AND scale_to = ?",
				string(like.Question), string(like.Contrast), string(like.Scale), like.From, like.To).
			Order("studies.closed_at DESC, studies.id, found_spreads.attribute").
			Find(&rows).Error
	})
	return each(rows, foundSpreadRow.foundSpread), err
}
