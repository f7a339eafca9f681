package store

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"

	"gorm.io/gorm"
	"gorm.io/gorm/schema"

	"cloche/internal/panel"
)

// viewColumns names, as a SELECT has them, the columns of the tables that are embedded
// in a view under their names, but those left out, and gives the fields of the view that
// they belong to. Its other fields are one word.
func viewColumns(view any, leftOut ...string) (text string, fields [][]int, err error) {
	all, err := schema.Parse(view, &sync.Map{}, schema.NamingStrategy{})
	if err != nil {
		return "", nil, err
	}
	var columns []string
	for _, name := range all.DBNames {
		table, column, embedded := strings.Cut(name, "_")
		if embedded && !slices.Contains(leftOut, name) {
			columns = append(columns, fmt.Sprintf("%s.%s AS %s", table, column, name))
			fields = append(fields, all.FieldsByDBName[name].StructField.Index)
		}
	}
	return strings.Join(columns, ", "), fields, nil
}

var plateColumns = sync.OnceValues(func() (string, error) {
	columns, _, err := viewColumns(&plateView{})
	return columns, err
})

// turnsWhere reads turns with their servings in one statement, by place and order.
func (s *Store) turnsWhere(ctx context.Context, doing, where string, args ...any) ([]panel.Turn, error) {
	columns, err := plateColumns()
	if err != nil {
		return nil, err
	}
	var rows []plateView
	err = s.reading(ctx, doing, func(db *gorm.DB) (err error) {
		rows, err = find[plateView](db.Table("turns").Select(columns).
			Joins("LEFT JOIN servings ON servings.turn_id = turns.id").
			Where(where, args...).Order("turns.place, turns.turn_order, servings.serving_order"))
		return err
	})
	if err != nil {
		return nil, err
	}
	return turnsOf(rows, func(r plateView) plateView { return r })
}

// turnWhere reads one turn.
func (s *Store) turnWhere(ctx context.Context, where string, args ...any) (panel.Turn, error) {
	turns, err := s.turnsWhere(ctx, "find turn", where, args...)
	if err == nil && len(turns) == 0 {
		err = fmt.Errorf("find turn: %w", panel.ErrNotFound)
	}
	if err != nil {
		return panel.Turn{}, err
	}
	return turns[0], nil
}

// Turns returns the turns of one place, in order.
func (s *Store) Turns(ctx context.Context, studyID panel.StudyID, place int) ([]panel.Turn, error) {
	return s.turnsWhere(ctx, "list turns", "turns.study_id = ? AND turns.place = ?", studyID, place)
}

// AllTurns returns the serving plan of a study by place and order.
func (s *Store) AllTurns(ctx context.Context, studyID panel.StudyID) ([]panel.Turn, error) {
	return s.turnsWhere(ctx, "list serving plan", "turns.study_id = ?", studyID)
}

// TurnsAt returns every turn of one sitting by place and order.
func (s *Store) TurnsAt(ctx context.Context, studyID panel.StudyID, sitting int) ([]panel.Turn, error) {
	return s.turnsWhere(ctx, "list turns of a sitting", "turns.study_id = ? AND turns.sitting = ?", studyID, sitting)
}

// Turn returns a turn by its id.
func (s *Store) Turn(ctx context.Context, id panel.TurnID) (panel.Turn, error) {
	return s.turnWhere(ctx, "turns.id = ?", string(id))
}

// TurnOf returns the turn of a serving.
func (s *Store) TurnOf(ctx context.Context, id panel.ServingID) (panel.Turn, error) {
	return s.turnWhere(ctx, "turns.id = (SELECT turn_id FROM servings WHERE servings.id = ?)", string(id))
}
