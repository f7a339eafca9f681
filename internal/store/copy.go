package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// ErrWentOn says that a database changed while it was copied: its service still runs.
var ErrWentOn = errors.New("it changed meanwhile: stop its service first, then copy into another empty database")

// Copy fills an empty database with all that another holds, whichever kind each is, and
// compares both afterwards, table by table. It returns what was copied. The errors are those
// of [Restore], and [ErrWentOn].
func Copy(ctx context.Context, from, to string, at time.Time) (Manifest, error) {
	source, err := OpenAsIs(ctx, from)
	if err != nil {
		return Manifest{}, err
	}
	m, err := source.copyInto(ctx, to, at)
	return m, errors.Join(err, source.Close())
}

func (s *Store) copyInto(ctx context.Context, to string, at time.Time) (Manifest, error) {
	if err := s.MustBeCurrent(ctx); err != nil {
		return Manifest{}, err
	}
	folder, err := os.MkdirTemp("", "cloche-copy-") // for its owner alone
	if err != nil {
		return Manifest{}, err
	}
	defer os.RemoveAll(folder)
	file := filepath.Join(folder, "all.zip")
	m, err := s.BackupFile(ctx, file, false, at)
	if err != nil {
		return Manifest{}, err
	}
	if _, err := Restore(ctx, file, to); err != nil {
		return Manifest{}, err
	}
	filled, err := OpenAsIs(ctx, to)
	if err != nil {
		return Manifest{}, err
	}
	err = filled.mustHold(ctx, m, at)
	if err = errors.Join(err, filled.Close()); err != nil {
		return Manifest{}, err
	}
	if err := s.mustHold(ctx, m, at); err != nil {
		return Manifest{}, fmt.Errorf("copy %s: %w (%w)", s.name, ErrWentOn, err)
	}
	return m, nil
}

// mustHold compares all tables with what was copied, by their rows and the SHA-256 of these.
func (s *Store) mustHold(ctx context.Context, want Manifest, at time.Time) error {
	got, err := s.Backup(ctx, io.Discard, at)
	if err != nil {
		return err
	}
	var differ []string
	held := map[string]ArchivedTable{}
	for _, t := range got.Tables {
		held[t.Name] = t
	}
	for _, t := range want.Tables {
		if h := held[t.Name]; h.Rows != t.Rows || h.SHA256 != t.SHA256 {
			differ = append(differ, fmt.Sprintf("%s has %d rows, copied were %d", t.Name, h.Rows, t.Rows))
		}
	}
	if len(differ) > 0 || len(got.Tables) != len(want.Tables) {
		return fmt.Errorf("%s does not hold what was copied: %s", s.name, strings.Join(differ, "; "))
	}
	return nil
}
