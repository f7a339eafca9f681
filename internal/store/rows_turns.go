package store

import (
	"database/sql"
	"fmt"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

type turnRow struct {
	ID        string
	StudyID   panel.StudyID
	Sitting   int
	Place     int
	TurnOrder int
	Role      string
	Response  string
	Name      string
	RefusedAt sql.NullTime
	PassedAt  sql.NullTime
	OpenedAt  sql.NullTime
}

func (turnRow) TableName() string { return "turns" }

func rowOfTurn(studyID panel.StudyID, t panel.Turn) turnRow {
	return turnRow{ID: string(t.ID), StudyID: studyID, Sitting: t.Sitting, Place: t.Place, TurnOrder: t.Order,
		Role:     t.Role.String(),
		Response: string(t.Response), Name: string(t.Name), RefusedAt: instantOrNull(t.RefusedAt),
		PassedAt: instantOrNull(t.PassedAt), OpenedAt: instantOrNull(t.OpenedAt)}
}

func (r turnRow) turn() (panel.Turn, error) {
	role, err := roleOf(r.Role)
	return panel.Turn{ID: panel.TurnID(r.ID), StudyID: r.StudyID, Place: r.Place, Order: r.TurnOrder,
		Sitting: r.Sitting, Role: role,
		Response: study.Response(r.Response), Name: study.NameID(r.Name), RefusedAt: timeOrZero(r.RefusedAt),
		PassedAt: timeOrZero(r.PassedAt), OpenedAt: timeOrZero(r.OpenedAt)}, err
}

type servingRow struct {
	ID           string
	TurnID       string
	ServingOrder int
	Role         string
	Position     int
	Sample       string
	Code         design.Code
	ServedAt     sql.NullTime
	RevealedAt   sql.NullTime
}

func (servingRow) TableName() string { return "servings" }

func rowOfServing(turnID panel.TurnID, v panel.Serving) servingRow {
	return servingRow{ID: string(v.ID), TurnID: string(turnID), ServingOrder: v.Order, Role: v.Role.String(),
		Position: v.Position,
		Sample:   string(v.Sample), Code: v.Code, ServedAt: instantOrNull(v.ServedAt),
		RevealedAt: instantOrNull(v.RevealedAt)}
}

func (r servingRow) serving() (panel.Serving, error) {
	role, err := roleOf(r.Role)
	return panel.Serving{ID: panel.ServingID(r.ID), TurnID: panel.TurnID(r.TurnID), Order: r.ServingOrder, Role: role,
		Position: r.Position,
		Sample:   study.SampleID(r.Sample), Code: r.Code, ServedAt: timeOrZero(r.ServedAt),
		RevealedAt: timeOrZero(r.RevealedAt)}, err
}

func roleOf(word string) (design.Role, error) {
	for role := design.Rated; role <= design.Expected; role++ {
		if role.String() == word {
			return role, nil
		}
	}
	return 0, fmt.Errorf("role %q is not known", word)
}

// plateView is a serving with its turn; a name that is read has no serving.
type plateView struct {
	Turn    turnRow    `gorm:"embedded;embeddedPrefix:turns_"`
	Serving servingRow `gorm:"embedded;embeddedPrefix:servings_"`
}

// turnsOf gathers the servings of each turn; rows come by turn and in order.
func turnsOf[Row any](rows []Row, view func(Row) plateView) ([]panel.Turn, error) {
	var turns []panel.Turn
	for _, row := range rows {
		r := view(row)
		if n := len(turns); n == 0 || string(turns[n-1].ID) != r.Turn.ID {
			turn, err := r.Turn.turn()
			if err != nil {
				return nil, fmt.Errorf("turn %s: %w", r.Turn.ID, err)
			}
			turns = append(turns, turn)
		}
		if r.Serving.ID == "" {
			continue
		}
		serving, err := r.Serving.serving()
		if err != nil {
			return nil, fmt.Errorf("serving %s: %w", r.Serving.ID, err)
		}
		last := &turns[len(turns)-1]
		last.Servings = append(last.Servings, serving)
	}
	return turns, nil
}
