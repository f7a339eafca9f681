package store

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

// incidentRow is something that went wrong with a turn.
type incidentRow struct {
	TurnID  string
	What    string
	NotedAt time.Time
	Who     string
}

func (incidentRow) TableName() string { return "incidents" }

func (r incidentRow) incident() panel.NotedIncident {
	return panel.NotedIncident{TurnID: panel.TurnID(r.TurnID), What: panel.Incident(r.What), At: r.NotedAt.UTC(),
		Who: r.Who}
}

// incidentsIn reads kinds that stand in a text.
func incidentsIn(text string) (all []panel.Incident) {
	for what := range strings.SplitSeq(text, ",") {
		if what != "" {
			all = append(all, panel.Incident(what))
		}
	}
	return all
}

// NoteIncident keeps what went wrong with a turn, or takes it back.
func (s *Store) NoteIncident(ctx context.Context, n panel.NotedIncident, happened bool, e panel.Event) error {
	return s.writing(ctx, "note incident", func(tx *gorm.DB) error {
		turn, _, err := lockTurn(tx, string(n.TurnID), lockRating)
		if err != nil {
			return err
		}
		row := incidentRow{TurnID: turn.ID, What: string(n.What), NotedAt: instant(n.At), Who: n.Who}
		if happened {
			err = tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&row).Error
		} else {
			err = tx.Delete(&incidentRow{}, "turn_id = ? AND what = ?", row.TurnID, row.What).Error
		}
		if err != nil {
			return err
		}
		return appendEvent(tx, e)
	})
}

// Incidents returns what went wrong in a study, oldest first.
func (s *Store) Incidents(ctx context.Context, studyID panel.StudyID) ([]panel.NotedIncident, error) {
	var rows []incidentRow
	err := s.reading(ctx, "list incidents", func(db *gorm.DB) error {
		return db.Select("incidents.*").Joins("JOIN turns ON turns.id = incidents.turn_id").
			Order("incidents.noted_at, incidents.turn_id, incidents.what").
			Find(&rows, "turns.study_id = ?", studyID).Error
	})
	return each(rows, incidentRow.incident), err
}

// incidentsOfTurn is a text with the kinds of a turn, by name; both databases have the
// parts of it.
var incidentsOfTurn = func() string {
	kinds := panel.Incidents()
	slices.Sort(kinds)
	var parts []string
	for _, what := range kinds {
		parts = append(parts, fmt.Sprintf(`CASE WHEN EXISTS (SELECT 1 FROM incidents i
			WHERE i.turn_id = turns.id AND i.what = '%[1]s') THEN '%[1]s,' ELSE '' END`, what))
	}
	return strings.Join(parts, " || ")
}()

// forgetIncidents forgets what went wrong with somebody whose place is given away.
func forgetIncidents(tx *gorm.DB, a assessorRow) error {
	return tx.Exec("DELETE FROM incidents WHERE turn_id IN (SELECT id FROM turns WHERE study_id = ? AND place = ?)",
		a.StudyID, a.Place).Error
}
