package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/mattn/go-sqlite3"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
)

//go:embed migrations/*.sql
var embedded embed.FS

// migrations are those of this program; a test adds another.
var migrations fs.FS = embedded

// inSQLite puts SQLite's types in the place of PostgreSQL's, in which the
// migrations are written.
var inSQLite = strings.NewReplacer(
	"bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY", "integer PRIMARY KEY AUTOINCREMENT NOT NULL",
	"timestamptz", "datetime",
	"bytea", "blob",
	` COLLATE "C"`, "", // SQLite compares bytes in any case
)

// migrate brings the tables to the newest version, each step in a transaction. Before the first step that
// changes tables in use it does what first says, with the version that they have.
func (s *Store) migrate(ctx context.Context, first func(have int64) error) error {
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
				"its tables have version %d, made by a newer Cloche; this one knows versions up to %d: use the "+
					"newer program, or a backup made before it", have, want)}
		case have == want:
			return nil
		case have > 0 && before < 0:
			if err := first(have); err != nil {
				return err
			}
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
	pool, err := s.write.DB()
	if err != nil {
		return nil, err
	}
	isSQLite := s.write.Name() == "sqlite"
	numbered, err := numberedSteps(isSQLite)
	if err != nil {
		return nil, err
	}
	options := []goose.ProviderOption{goose.WithDisableGlobalRegistry(true), goose.WithGoMigrations(numbered...)}
	if isSQLite {
		return goose.NewProvider(goose.DialectSQLite3, pool, nil, options...)
	}
	locker, err := lock.NewPostgresSessionLocker(lock.WithLockTimeout(1, 60)) // asks each second for a minute
	if err != nil {
		return nil, err
	}
	return goose.NewProvider(goose.DialectPostgres, pool, nil, append(options, goose.WithSessionLocker(locker))...)
}

// numberedSteps reads the files of migrations by name; the first is step 1.
func numberedSteps(isSQLite bool) ([]*goose.Migration, error) {
	files, err := fs.Glob(migrations, "migrations/*.sql")
	if err != nil {
		return nil, err
	}
	steps := make([]*goose.Migration, len(files))
	for i, file := range files {
		text, err := fs.ReadFile(migrations, file)
		if err != nil {
			return nil, err
		}
		statements := string(text)
		if isSQLite {
			statements = inSQLite.Replace(statements)
		}
		steps[i] = goose.NewGoMigration(int64(i+1), &goose.GoFunc{RunTx: func(ctx context.Context, tx *sql.Tx) error {
			_, err := tx.ExecContext(ctx, statements)
			return err
		}}, nil)
	}
	return steps, nil
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
