package store

import (
	"time"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// draftTextRow is one text of a draft.
type draftTextRow struct {
	StudyID panel.StudyID
	Number  int
	File    string
}

func (draftTextRow) TableName() string { return "draft_texts" }

type photoRow struct {
	StudyID panel.StudyID
	Dish    string
	JPEG    []byte `gorm:"column:jpeg"`
}

func (photoRow) TableName() string { return "photos" }

func rowOfPhoto(studyID panel.StudyID, p panel.Photo) photoRow {
	return photoRow{StudyID: studyID, Dish: string(p.Dish), JPEG: p.JPEG}
}

func (r photoRow) photo() panel.Photo { return panel.Photo{Dish: study.DishID(r.Dish), JPEG: r.JPEG} }

type countersignRow struct {
	StudyID   panel.StudyID
	Name      string
	SignedAt  time.Time
	StudyHash string
	PlanHash  string
}

func (countersignRow) TableName() string { return "countersignatures" }

func rowOfCountersign(studyID panel.StudyID, c panel.Countersign) countersignRow {
	return countersignRow{StudyID: studyID, Name: c.Name, SignedAt: instant(c.At), StudyHash: c.StudyHash,
		PlanHash: c.PlanHash}
}
