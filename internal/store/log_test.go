package store

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/store/storetest"
)

// bothKinds makes an empty database of each kind.
var bothKinds = map[string]func(t *testing.T) string{
	"SQLite":     func(t *testing.T) string { return filepath.Join(t.TempDir(), "cloche.db") },
	"PostgreSQL": func(t *testing.T) string { return storetest.Postgres(t) },
}

// TestTamperedLogIsFound changes a log in the database itself, as the service never does.
func TestTamperedLogIsFound(t *testing.T) {
	t.Parallel()
	for kind, dsn := range bothKinds {
		t.Run(kind, func(t *testing.T) {
			s := openAt(t, dsn(t))
			for i := range 6 {
				must(t, s.AppendEvent(t.Context(), panel.Event{At: evening, Who: "lead", What: "did",
					Detail: fmt.Sprint(i)}))
			}
			for _, tc := range []struct {
				statement, want string
			}{
				{"UPDATE log_ends SET number = number", ""},
				{"UPDATE events SET detail = 'other' WHERE number = 3", "entry 3 was changed"},
				{"DELETE FROM events WHERE number = 3", "entry 3 is missing"},
				{"DELETE FROM events WHERE number > 4", "the end is cut off: it goes to entry 4, and 6 were written"},
				{"DELETE FROM events", "the end is cut off: it goes to entry 0, and 6 were written"},
				{"DELETE FROM log_ends", "it goes to entry 6, and only 0 were written by the service"},
				{"UPDATE events SET number = CASE number WHEN 2 THEN 30 ELSE 20 END WHERE number IN (2, 3)",
					"entries 2 to 3 are missing"},
				{"DELETE FROM studies WHERE id = 's'; INSERT INTO studies (id, file, state, created_at, series) " +
					"VALUES ('s', '', 'draft', '2026-01-01', 's')",
					"log of s: it is missing: a study has one from its first draft on"},
			} {
				tx := s.write.Begin()
				for statement := range strings.SplitSeq(tc.statement, "; ") {
					must(t, tx.Exec(statement).Error)
				}
				must(t, tx.Commit().Error)
				var found []string
				must(t, panel.CheckLogs(t.Context(), s, func(x panel.CheckedLog) {
					for _, fault := range x.Faults {
						told := fault.String()
						if x.StudyID != "" {
							told = "log of " + string(x.StudyID) + ": " + told
						}
						found = append(found, told)
					}
				}))
				if tc.want == "" && len(found) > 0 || tc.want != "" && !slices.Contains(found, tc.want) {
					t.Errorf("after %q: found %q, want %q", tc.statement, found, tc.want)
				}
				restoreLog(t, s)
			}
		})
	}
}

// restoreLog writes the log of [TestTamperedLogIsFound] anew.
func restoreLog(t *testing.T, s *Store) {
	t.Helper()
	for _, table := range []string{"events", "log_ends", "studies"} {
		must(t, s.write.Exec("DELETE FROM "+table).Error)
	}
	for i := range 6 {
		must(t, s.AppendEvent(t.Context(), panel.Event{At: evening, Who: "lead", What: "did", Detail: fmt.Sprint(i)}))
	}
}

// TestLogOfTwoServicesAtOnce: two programs on one database write to the same logs, and to others.
func TestLogOfTwoServicesAtOnce(t *testing.T) {
	t.Parallel()
	for kind, fresh := range bothKinds {
		t.Run(kind, func(t *testing.T) {
			dsn := fresh(t)
			first := openAt(t, dsn)
			second, err := OpenAsIs(t.Context(), dsn) // as a command beside the service does
			must(t, err)
			defer func() { must(t, second.Close()) }()
			const each = 25
			var all sync.WaitGroup
			for _, s := range []*Store{first, second} {
				for _, id := range []panel.StudyID{"", "one", "one"} {
					all.Go(func() {
						for i := range each {
							if err := s.AppendEvent(t.Context(), panel.Event{At: evening, StudyID: id, Who: "x",
								What: fmt.Sprint(i)}); err != nil {
								t.Error(err)
							}
						}
					})
				}
			}
			all.Wait()
			for id, want := range map[panel.StudyID]int{"": 2 * each, "one": 4 * each} {
				found, err := panel.CheckLog(t.Context(), first, id)
				must(t, err)
				if len(found.Entries) != want || len(found.Faults) > 0 {
					t.Errorf("log %q: %d entries, want %d; %v", id, len(found.Entries), want, found.Faults)
				}
			}
		})
	}
}
