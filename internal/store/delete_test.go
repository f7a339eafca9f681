package store

import (
	"slices"
	"testing"

	"cloche/internal/panel"
)

// TestDeletingAStudyCoversEveryTable fails when a table of a later migration
// belongs to studies and is left out of the deletion.
func TestDeletingAStudyCoversEveryTable(t *testing.T) {
	s := openSQLite(t)
	fillEverything(t, s)
	pool, err := s.read.DB()
	must(t, err)
	tx, err := pool.BeginTx(t.Context(), nil)
	must(t, err)
	shapes := readFiller(t, tx).shapes // parents first
	must(t, tx.Rollback())

	gone := filler{}.value("studies", ArchivedColumn{Name: "id", Kind: "text"}, 0).(string)
	must(t, s.DeleteStudy(t.Context(), panel.StudyID(gone), panel.Deletion{}, func(panel.Study,
		panel.Progress, panel.LogEnd) panel.Event {
		return panel.Event{At: evening}
	}))
	belongs := map[string]bool{"studies": true}
	for _, shape := range shapes {
		if slices.ContainsFunc(shape.refers, func(to string) bool { return belongs[to] }) {
			belongs[shape.name] = true
		}
	}
	if len(belongs) < 15 {
		t.Errorf("only %d tables belong to studies: %v", len(belongs), belongs)
	}
	for table := range belongs {
		var left int
		must(t, s.read.Raw("SELECT COUNT(*) FROM "+quoted(table)).Scan(&left).Error)
		if left != filledRows-1 {
			t.Errorf("%d of %d rows are left in %s after one study was deleted", left, filledRows, table)
		}
	}
}
