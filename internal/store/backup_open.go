package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// OpenAsIs opens a database that exists and leaves its tables as they are, so
// that a newer program can back up what an older one still serves. Otherwise it is
// as [Open].
func OpenAsIs(ctx context.Context, dsn string) (*Store, error) {
	if path, isFile := sqlitePath(dsn); isFile {
		if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
			return nil, &OpenError{Database: path, Reason: "there is no such file; name the database with --database",
				Err: err}
		}
	}
	return connect(ctx, dsn)
}

// MustBeCurrent returns an [OpenError] unless the tables have the version that
// this program works with.
func (s *Store) MustBeCurrent(ctx context.Context) error {
	steps, err := s.steps()
	if err != nil {
		return s.migrateError(err)
	}
	sources := steps.ListSources()
	want := sources[len(sources)-1].Version
	var have int64
	err = s.snapshot(ctx, func(tx *sql.Tx) error {
		var err error
		have, err = versionOf(ctx, tx, s.kind())
		return err
	})
	if err != nil {
		return fmt.Errorf("read the version of %s: %w", s.name, err)
	}
	if have != want {
		return &OpenError{Database: s.name, Reason: fmt.Sprintf(
			"its tables have version %d, this program works with version %d; start “cloche serve” of this version "+
				"on it once", have, want)}
	}
	return nil
}
