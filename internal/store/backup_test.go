package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"cloche/internal/panel"
	"cloche/internal/store/storetest"
)

// backedUp writes an archive of s and returns its path and manifest.
func backedUp(t testing.TB, s *Store) (string, Manifest) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "backup.zip")
	m, err := s.BackupFile(t.Context(), path, false, evening)
	must(t, err)
	return path, m
}

// restored fills the database of a dsn from an archive and opens it.
func restored(t testing.TB, archive, dsn string) *Store {
	t.Helper()
	if _, err := Restore(t.Context(), archive, dsn); err != nil {
		t.Fatal(err)
	}
	return openAt(t, dsn)
}

func newFile(t testing.TB) string { return filepath.Join(t.TempDir(), "restored.db") }

// TestBackupHoldsEverything fails when a table or column of any migration is left
// out, or a value changes.
func TestBackupHoldsEverything(t *testing.T) {
	s := openSQLite(t)
	fillEverything(t, s)
	archive, m := backedUp(t, s)
	var tables []string
	must(t, s.read.Raw(`SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%' AND name NOT `+
		`LIKE 'goose%' ORDER BY name`).Scan(&tables).Error)
	var held []string
	for _, table := range m.Tables {
		held = append(held, table.Name)
		if table.Rows != filledRows {
			t.Errorf("table %s has %d rows in the archive, want %d", table.Name, table.Rows, filledRows)
		}
	}
	if diff := cmp.Diff(tables, held); diff != "" {
		t.Errorf("tables of the database (-) and of the archive (+):\n%s", diff)
	}
	back := restored(t, archive, newFile(t))
	if diff := cmp.Diff(cells(t, s), cells(t, back)); diff != "" {
		t.Errorf("cells of the database (-) and of the restored one (+):\n%s", diff)
	}
	_, again := backedUp(t, back)
	if diff := cmp.Diff(m, again); diff != "" {
		t.Errorf("archive (-) and archive of the restored database (+):\n%s", diff)
	}
}

// TestBackupAcrossDatabases goes from SQLite to PostgreSQL and back.
func TestBackupAcrossDatabases(t *testing.T) {
	file := openSQLite(t)
	fillEverything(t, file)
	archive, m := backedUp(t, file)
	server := restored(t, archive, storetest.Postgres(t))
	archive, onServer := backedUp(t, server)
	if diff := cmp.Diff(m, onServer); diff != "" {
		t.Errorf("archive of sqlite (-) and of postgres (+):\n%s", diff)
	}
	back := restored(t, archive, newFile(t))
	if diff := cmp.Diff(cells(t, file), cells(t, back)); diff != "" {
		t.Errorf("cells before (-) and after (+) the way through postgres:\n%s", diff)
	}
	for _, s := range []*Store{server, back} { // numbering goes on after the last row
		must(t, s.AppendEvent(t.Context(), panel.Event{At: evening, Who: "lead", What: "restored"}))
		events, err := s.Events(t.Context(), "")
		must(t, err)
		if len(events) != 1 || events[0].What != "restored" {
			t.Errorf("events after the restore: %v", events)
		}
	}
}

// TestBackupAndRatingsAtOnce takes backups while everybody rates. Each shows one moment:
// all that was acknowledged before it began, no serving by half, no row whose
// parent is missing.
func TestBackupAndRatingsAtOnce(t *testing.T) {
	t.Parallel()
	t.Run("sqlite", func(t *testing.T) { backupUnderLoad(t, openSQLite(t)) })
	t.Run("postgres", func(t *testing.T) { backupUnderLoad(t, openAt(t, storetest.Postgres(t))) })
}

func backupUnderLoad(t *testing.T, s *Store) {
	guests := crowd{study: "load", assessors: 60, servings: 6, attributes: 4}
	guests.open(t, s)
	guests.seat(t, s)
	var mu sync.Mutex
	acknowledged := map[panel.TurnID]bool{}
	var phones sync.WaitGroup
	for n := range guests.assessors {
		phones.Go(func() {
			for order := range guests.servings {
				if _, err := storetest.Rate(context.Background(), s, guests.assessor(n).ID, guests.turn(n, order),
					guests.answers(guests.turn(n, order), float64(n)), evening); err != nil {
					t.Error(err)
				}
				mu.Lock()
				acknowledged[guests.turn(n, order)] = true
				mu.Unlock()
			}
		})
	}
	for range 4 {
		mu.Lock()
		before := make([]panel.TurnID, 0, len(acknowledged))
		for id := range acknowledged {
			before = append(before, id)
		}
		mu.Unlock()
		archive, m := backedUp(t, s)
		checkOneMoment(t, restored(t, archive, newFile(t)), guests, before)
		t.Logf("%d rows, %d turns acknowledged before", m.Rows(), len(before))
	}
	phones.Wait()
	archive, m := backedUp(t, s)
	back := restored(t, archive, newFile(t))
	_, again := backedUp(t, back)
	if diff := cmp.Diff(m, again); diff != "" {
		t.Errorf("archive (-) and archive of the restored database (+):\n%s", diff)
	}
	want, err := s.KeyedAnswers(t.Context(), guests.study)
	must(t, err)
	got, err := back.KeyedAnswers(t.Context(), guests.study)
	must(t, err)
	if diff := cmp.Diff(want, got); diff != "" || len(got) != guests.assessors*guests.servings*guests.attributes {
		t.Errorf("%d ratings; before (-) and after (+):\n%s", len(got), diff)
	}
}

func checkOneMoment(t *testing.T, s *Store, guests crowd, before []panel.TurnID) {
	t.Helper()
	var counts []struct {
		TurnID panel.TurnID
		N      int
	}
	must(t, s.read.Raw(`SELECT answered_turns.turn_id, count(answers.attribute) AS n FROM answered_turns
		LEFT JOIN answers ON answers.turn_id = answered_turns.turn_id GROUP BY `+
		`answered_turns.turn_id`).Scan(&counts).Error)
	held := map[panel.TurnID]bool{}
	for _, c := range counts {
		held[c.TurnID] = true
		if c.N != guests.attributes {
			t.Errorf("turn %s has %d answers in the backup, want %d", c.TurnID, c.N, guests.attributes)
		}
	}
	for _, id := range before {
		if !held[id] {
			t.Errorf("turn %s was acknowledged before the backup and is not in it", id)
		}
	}
	var orphans []map[string]any
	must(t, s.read.Raw("PRAGMA foreign_key_check").Scan(&orphans).Error)
	if len(orphans) > 0 {
		t.Errorf("rows without their parents: %v", orphans)
	}
}

func TestBackupFile(t *testing.T) {
	ctx := t.Context()
	s := openSQLite(t)
	path := filepath.Join(t.TempDir(), "b.zip")
	_, err := s.BackupFile(ctx, path, false, evening)
	must(t, err)
	info, err := os.Stat(path)
	must(t, err)
	if info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, want only the owner to read it", info.Mode())
	}
	first, err := os.ReadFile(path)
	must(t, err)
	_, err = s.BackupFile(ctx, path, false, evening.Add(time.Hour))
	if !errors.Is(err, fs.ErrExist) {
		t.Errorf("a second backup to the same name: %v, want that it exists", err)
	}
	kept, err := os.ReadFile(path)
	must(t, err)
	if !bytes.Equal(first, kept) {
		t.Error("the first backup was changed")
	}
	_, err = s.BackupFile(ctx, path, true, evening.Add(time.Hour))
	must(t, err)
	replaced, err := os.ReadFile(path)
	must(t, err)
	if bytes.Equal(first, replaced) {
		t.Error("the backup was not replaced when allowed")
	}
	if _, err = s.BackupFile(ctx, filepath.Join(path, "x.zip"), false, evening); err == nil ||
		!strings.Contains(err.Error(), "no folder") {
		t.Errorf("a backup into a file: %v", err)
	}
	wantFiles(t, filepath.Dir(path), "b.zip")
}

// wantFiles checks that a folder holds these files and no half ones.
func wantFiles(t *testing.T, folder string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	must(t, err)
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	if diff := cmp.Diff(want, names); diff != "" {
		t.Errorf("files in the folder (-want +got):\n%s", diff)
	}
}

func TestBackupOfNothing(t *testing.T) {
	empty := filepath.Join(t.TempDir(), "empty.db")
	must(t, os.WriteFile(empty, nil, 0o600))
	s, err := OpenAsIs(t.Context(), empty)
	must(t, err)
	defer s.Close()
	into := t.TempDir()
	if _, err := s.BackupFile(t.Context(), filepath.Join(into, "b.zip"), false, evening); !errors.Is(err, ErrNoTables) {
		t.Errorf("back up an empty file: %v, want %v", err, ErrNoTables)
	}
	wantFiles(t, into)
	var open *OpenError
	if err := s.MustBeCurrent(t.Context()); !errors.As(err, &open) || !strings.Contains(err.Error(), "version 0") {
		t.Errorf("an empty file is current: %v", err)
	}
	if _, err := OpenAsIs(t.Context(), empty+"-not"); !errors.As(err, &open) ||
		!strings.Contains(err.Error(), "no such file") {
		t.Errorf("open a file that is missing: %v", err)
	}
	wantFiles(t, filepath.Dir(empty), "empty.db", "empty.db-shm", "empty.db-wal")
}

// BenchmarkBackup measures archives of a kitchen's evening and of 10,000 ratings.
func BenchmarkBackup(b *testing.B) {
	for _, size := range []crowd{{study: "s", assessors: 40, servings: 4, attributes: 3},
		{study: "s", assessors: 250, servings: 8, attributes: 5}} {
		all := size.assessors * size.servings
		s := openSQLite(b)
		size.open(b, s)
		size.seat(b, s)
		for n := range all {
			rateNth(b, s, size, n)
		}
		archive, _ := backedUp(b, s)
		info, err := os.Stat(archive)
		must(b, err)
		name := fmt.Sprintf("ratings=%d", all*size.attributes)
		b.Run("backup/"+name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, err := s.BackupFile(b.Context(), archive, true, evening)
				must(b, err)
			}
			b.ReportMetric(float64(info.Size()), "archive-bytes")
		})
		b.Run("restore/"+name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, err := Restore(b.Context(), archive, newFile(b))
				must(b, err)
			}
		})
	}
}
