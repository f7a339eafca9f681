package store

import (
	"database/sql"
	"time"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

type spareRow struct {
	StudyID    panel.StudyID
	Sitting    int
	SpareOrder int
	Code       design.Code
	ServingID  *string // who took it
}

func (spareRow) TableName() string { return "spare_codes" }

func rowOfSpare(studyID panel.StudyID, s panel.Spare) spareRow {
	return spareRow{StudyID: studyID, Sitting: s.Sitting, SpareOrder: s.Order, Code: s.Code}
}

// actRow is an act of the staff that a phone may send again.
type actRow struct {
	StudyID panel.StudyID
	ID      string
	TakenAt time.Time
}

func (actRow) TableName() string { return "acts" }

type droppedRow struct {
	ID        int64 `gorm:"primaryKey;autoIncrement"`
	ServingID string
	Code      design.Code
	DroppedAt time.Time

	ServedAt    sql.NullTime
	TakenBackAt sql.NullTime
}

func (droppedRow) TableName() string { return "dropped_codes" }

func (r droppedRow) dropped() panel.Dropped {
	return panel.Dropped{ServingID: panel.ServingID(r.ServingID), Code: r.Code, At: r.DroppedAt.UTC(),
		TakenBack: timeOrZero(r.TakenBackAt)}
}

type temperatureRow struct {
	ID         int64 `gorm:"primaryKey;autoIncrement"`
	SittingID  panel.SittingID
	Wave       int
	Dish       string
	Celsius    float64
	MeasuredAt time.Time
	Who        string
	Corrects   int64
}

func (temperatureRow) TableName() string { return "temperatures" }

func rowOfTemperature(m panel.Measured) temperatureRow {
	return temperatureRow{SittingID: m.SittingID, Wave: m.Wave, Dish: string(m.Dish), Celsius: m.Celsius,
		MeasuredAt: instant(m.At), Who: m.Who, Corrects: m.Corrects}
}

func (r temperatureRow) measured() panel.Measured {
	return panel.Measured{ID: r.ID, Corrects: r.Corrects, SittingID: r.SittingID, Wave: r.Wave,
		Dish: study.DishID(r.Dish), Celsius: r.Celsius, At: r.MeasuredAt.UTC(), Who: r.Who}
}

type staffLinkRow struct {
	TokenHash panel.TokenHash
	SittingID panel.SittingID
	Role      string
	Renewals  int
	Joined    int
}

func (staffLinkRow) TableName() string { return "staff_links" }

func (r staffLinkRow) link() panel.StaffLink {
	return panel.StaffLink{SittingID: r.SittingID, Role: panel.RoleOf(r.Role), Renewals: r.Renewals, Joined: r.Joined}
}

type invitationRow struct {
	UserID    panel.UserID
	TokenHash panel.TokenHash
	ExpiresAt time.Time
}

func (invitationRow) TableName() string { return "invitations" }

type sessionRow struct {
	TokenHash panel.TokenHash
	ExpiresAt time.Time
	Role      string
	UserID    panel.UserID
	StudyID   panel.StudyID
	SittingID panel.SittingID
	Label     string

	AssessorID panel.AssessorID
}

func (sessionRow) TableName() string { return "sessions" }

func rowOfSession(tokenHash panel.TokenHash, s panel.Session) sessionRow {
	return sessionRow{TokenHash: tokenHash, ExpiresAt: instant(s.Expires), Role: s.Role.String(), UserID: s.UserID,
		StudyID:   s.StudyID,
		SittingID: s.SittingID, Label: s.Label, AssessorID: s.Seat}
}

func (r sessionRow) session() panel.Session {
	return panel.Session{Role: panel.RoleOf(r.Role), UserID: r.UserID, StudyID: r.StudyID, SittingID: r.SittingID,
		Label: r.Label, Seat: r.AssessorID, Expires: r.ExpiresAt.UTC()}
}
