package store

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/mattn/go-sqlite3"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
)

//go:embed migrations
var migrations embed.FS

// migrate brings the tables to the newest version, each step in a transaction.
func (s *Store) migrate(ctx context.Context) error {
	steps, err := s.steps()
	if err != nil {
		return s.migrateError(err)
	}
	for before := int64(-1); ; {
		have, want, err := steps.GetVersions(ctx)
		switch {
		case err != nil:
			return s.migrateError(err)
		case have > want:
			return &OpenError{Database: s.name, Reason: fmt.Sprintf(
				"its tables have version %d, made by a newer Cloche; this one knows versions up to %d: use the newer program, or a backup made before it", have, want)}
		case have == want:
			return nil
		}
		// A step fails when another program that started at the same moment made
		// it first: then the version has moved on, and so do we.
		if _, err := steps.Up(ctx); err != nil && have == before {
			return s.migrateError(err)
		}
		before = have
	}
}

// steps gives the migrations for this kind of database. On PostgreSQL a lock
// keeps two programs that start together from migrating at once.
func (s *Store) steps() (*goose.Provider, error) {
	kind := s.write.Name() // "sqlite" or "postgres", like the folders
	files, err := fs.Sub(migrations, "migrations/"+kind)
	if err != nil {
		return nil, err
	}
	pool, err := s.write.DB()
	if err != nil {
		return nil, err
	}
	if kind == "sqlite" {
		return goose.NewProvider(goose.DialectSQLite3, pool, files, goose.WithDisableGlobalRegistry(true))
	}
	locker, err := lock.NewPostgresSessionLocker(lock.WithLockTimeout(1, 60)) // asks each second for a minute
	if err != nil {
		return nil, err
	}
	return goose.NewProvider(goose.DialectPostgres, pool, files,
		goose.WithDisableGlobalRegistry(true), goose.WithSessionLocker(locker))
}

func (s *Store) migrateError(err error) error {
	reason := "bring its tables up to date: " + oneLine(err)
	var file sqlite3.Error
	var server *pgconn.PgError
	switch {
	case errors.As(err, &file):
		reason = explainSQLite(err)
	case errors.As(err, &server) && server.Code == pgNoPrivilege:
		reason = "this user may not make tables there (" + oneLine(server) + "); grant that right first"
	}
	return &OpenError{Database: s.name, Reason: reason, Err: err}
}
