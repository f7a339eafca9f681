package store

import (
	"archive/zip"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"cloche/internal/panel"
)

// damaged makes a file with rows and writes over one of its pages in the middle.
func damaged(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "c.db")
	s := openAt(t, path)
	size := crowd{study: "s", assessors: 200, servings: 4, attributes: 2}
	size.open(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		t.Fatal(err)
	}
	const page = 4096 // the last one holds rows; the first ones hold the tables' definitions, which no start gets past
	if _, err := file.WriteAt([]byte(strings.Repeat("damage!!", page/8)), info.Size()-page); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestDamagedFileDoesNotStart(t *testing.T) {
	path := damaged(t)
	_, err := Open(t.Context(), path)
	var refused *OpenError
	if !errors.As(err, &refused) || !errors.Is(err, errDamaged) || !strings.Contains(err.Error(), "cloche restore") {
		t.Errorf("start on a damaged file: %v", err)
	}
	s, err := OpenAsIs(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, err := s.Backup(t.Context(), io.Discard, time.Now()); !errors.Is(err, errDamaged) ||
		!strings.Contains(err.Error(), "cloche restore") {
		t.Errorf("back up a damaged file: %v", err)
	}
}

func TestReadyWrites(t *testing.T) {
	s := openSQLite(t)
	for _, at := range []time.Time{time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC),
		time.Date(2026, 6, 1, 12, 0, 1, 0, time.UTC)} {
		if err := s.Ready(t.Context(), at); err != nil {
			t.Fatal(err)
		}
		if kept, err := s.Setting(t.Context(), lastReady); err != nil || kept != at.Format(time.RFC3339Nano) {
			t.Errorf("kept %q, %v; want %s", kept, err, at)
		}
	}
	pool, err := s.write.DB()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := pool.Exec("PRAGMA query_only = on"); err != nil { // as when the disk is read only
		t.Fatal(err)
	}
	if err := s.Ready(t.Context(), time.Now()); !errors.Is(err, panel.ErrUnavailable) {
		t.Errorf("when nothing can be written: %v", err)
	}
}

// TestArchiveWithANameTwice: which of the two would be read is chance.
func TestArchiveWithANameTwice(t *testing.T) {
	s := openSQLite(t)
	archive := filepath.Join(t.TempDir(), "whole.zip")
	if _, err := s.BackupFile(t.Context(), archive, false, time.Now()); err != nil {
		t.Fatal(err)
	}
	twice := filepath.Join(t.TempDir(), "twice.zip")
	in, err := zip.OpenReader(archive)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	file, err := os.Create(twice)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	out := zip.NewWriter(file)
	for _, f := range append(in.File, in.File[0]) {
		if err := out.Copy(f); err != nil {
			t.Fatal(err)
		}
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	if a, err := openArchive(twice); err == nil || !strings.Contains(err.Error(), "twice") {
		t.Errorf("opened %v, %v", a, err)
	}
}

// TestPasswordOfAnyCharacters: beside the address as it is, in it escaped.
func TestPasswordOfAnyCharacters(t *testing.T) {
	const password = "a@b/c%d:e?f#g h"
	t.Setenv("PGPASSWORD", password)
	for _, dsn := range []string{"postgres://cloche@db:5432/cloche?sslmode=disable",
		"postgres://cloche:a%40b%2Fc%25d%3Ae%3Ff%23g%20h@db:5432/cloche"} {
		config, err := pgx.ParseConfig(dsn)
		if err != nil || config.Password != password || config.Host != "db" || config.Database != "cloche" {
			t.Errorf("%s: password %q, host %q, %v", dsn, config.Password, config.Host, err)
		}
	}
}
