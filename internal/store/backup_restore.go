package store

import (
	"bufio"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Restore fills an empty database from an archive, all or nothing, and brings its
// tables up to date when the archive is older than this program. dsn is as for
// [Open]; an SQLite file must not exist yet (or be empty), a PostgreSQL database
// may have tables but no rows. Before anything is written the whole archive is
// checked; before anything is kept every table is read back and compared with it.
//
// The error is an [ArchiveError] when the archive is at fault, an [OpenError] when
// the database is.
func Restore(ctx context.Context, file, dsn string) (Manifest, error) {
	a, err := openArchive(file)
	if err != nil {
		return Manifest{}, err
	}
	defer a.Close()
	if path, isFile := sqlitePath(dsn); isFile {
		return a.manifest, a.restoreFile(ctx, path)
	}
	s, err := connect(ctx, dsn)
	if err != nil {
		return Manifest{}, err
	}
	return a.manifest, errors.Join(a.restoreInto(ctx, s), s.Close())
}

// sqlitePath returns the file that a dsn names, if it names one.
func sqlitePath(dsn string) (string, bool) {
	scheme, rest, found := strings.Cut(dsn, ":")
	switch {
	case dsn == "":
		return DefaultPath, true
	case scheme == "sqlite":
		return rest, true
	case scheme == "postgres" || scheme == "postgresql" || scheme == "file" || found && strings.HasPrefix(rest, "//"):
		return "", false
	}
	return dsn, true
}

// restoreFile makes a database in a file beside path and gives it its name once
// it is whole.
func (a *openedArchive) restoreFile(ctx context.Context, path string) error {
	if err := mustBeNew(path); err != nil {
		return err
	}
	temporary, err := os.MkdirTemp(filepath.Dir(path), ".restore-")
	if err != nil {
		return &OpenError{Database: path, Reason: explainFile(path, err), Err: err}
	}
	defer os.RemoveAll(temporary)
	half := filepath.Join(temporary, filepath.Base(path))
	s, err := connectSQLite(ctx, half)
	if err != nil {
		return err
	}
	s.name = path
	if err := errors.Join(a.restoreInto(ctx, s), s.Close()); err != nil {
		return err
	}
	if err := mustBeNew(path); err != nil {
		return err
	}
	if err := keepAs(half, path, true); err != nil {
		return fmt.Errorf("restore %s: %w", path, err)
	}
	return nil
}

// mustBeNew refuses a file that holds something. A write-ahead log that was left
// behind would be replayed into the new file.
func mustBeNew(path string) error {
	for _, name := range []string{path, path + "-wal", path + "-journal"} {
		info, err := os.Stat(name)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			continue
		case err != nil:
			return &OpenError{Database: path, Reason: explainFile(path, err), Err: err}
		case info.IsDir():
			return &OpenError{Database: path, Reason: explainFile(path, errDirectory), Err: errDirectory}
		case info.Size() > 0:
			return &OpenError{Database: path,
				Reason: name + " exists already; a restore never overwrites: name a new file, or move that one " +
					"away first"}
		}
	}
	return nil
}

// restoreInto makes the tables of the archive's version, fills them in one
// transaction and brings them up to date.
func (a *openedArchive) restoreInto(ctx context.Context, s *Store) error {
	pool, err := s.write.DB()
	if err != nil {
		return err
	}
	steps, err := s.steps()
	if err != nil {
		return s.migrateError(err)
	}
	have, want, err := steps.GetVersions(ctx)
	if err != nil {
		return s.migrateError(err)
	}
	switch version := a.manifest.Version; {
	case version > want:
		return a.refuse(fmt.Sprintf("its tables have version %d, made by a newer Cloche; this one knows versions "+
			"up to %d: use the newer program", version, want))
	case have > version:
		return &OpenError{Database: s.name, Reason: fmt.Sprintf(
			"its tables have version %d, those of the archive version %d; name a database without "+
				"tables", have, version)}
	}
	if err := s.mustBeEmpty(ctx); err != nil {
		return err
	}
	if _, err := steps.UpTo(ctx, a.manifest.Version); err != nil {
		return s.migrateError(err)
	}
	tx, err := pool.BeginTx(ctx, nil)
	if err != nil {
		return fmt.Errorf("restore %s: %w", s.name, err)
	}
	if err := a.fill(ctx, tx, s.kind()); err != nil {
		return fmt.Errorf("restore %s: %w", s.name, errors.Join(err, tx.Rollback()))
	}
	if err := tx.Commit(); err != nil {
		return fmt.Errorf("restore %s: %w", s.name, err)
	}
	return s.migrate(ctx, func(int64) error { return nil })
}

// mustBeEmpty refuses a database with rows.
func (s *Store) mustBeEmpty(ctx context.Context) error {
	return s.snapshot(ctx, func(tx *sql.Tx) error {
		shapes, err := shapesOf(ctx, tx, s.kind())
		if err != nil {
			return fmt.Errorf("look into %s: %w", s.name, err)
		}
		var filled []string
		for _, shape := range shapes {
			var n int
			if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM "+quoted(shape.name)).Scan(&n); err != nil {
				return fmt.Errorf("count rows of %s: %w", shape.name, err)
			}
			if n > 0 {
				filled = append(filled, fmt.Sprintf("%s (%d)", shape.name, n))
			}
		}
		if len(filled) == 0 {
			return nil
		}
		return &OpenError{Database: s.name, Reason: "it holds rows already, in " + strings.Join(filled, ", ") +
			"; a restore never overwrites: name an empty database"}
	})
}

// fill inserts every row, reads every table back and compares it with the archive.
func (a *openedArchive) fill(ctx context.Context, tx *sql.Tx, kind string) error {
	shapes, err := shapesOf(ctx, tx, kind)
	if err != nil {
		return err
	}
	if err := a.mustFit(shapes); err != nil {
		return err
	}
	if shapes, err = parentsFirst(shapes); err != nil {
		return err
	}
	for _, shape := range shapes {
		t := a.tables[shape.name]
		shape.columns = t.Columns // in the archive's order
		if err := a.fillTable(ctx, tx, kind, shape); err != nil {
			return fmt.Errorf("table %s: %w", t.Name, err)
		}
		rows, sum, err := writeTable(ctx, tx, kind, shape, io.Discard)
		if err != nil {
			return fmt.Errorf("table %s: read back: %w", t.Name, err)
		}
		if rows != t.Rows || sum != t.SHA256 {
			return fmt.Errorf("table %s: the %d rows read back are not those of the archive: %s instead of %s", t.Name,
				rows, sum, t.SHA256)
		}
	}
	return nil
}

// mustFit compares the tables and columns of the archive with those that its
// version has.
func (a *openedArchive) mustFit(shapes []tableShape) error {
	var wrong []string
	known := map[string]bool{}
	for _, shape := range shapes {
		known[shape.name] = true
		t, found := a.tables[shape.name]
		if !found {
			wrong = append(wrong, "table "+shape.name+" is missing")
			continue
		}
		if !sameColumns(t.Columns, shape.columns) {
			wrong = append(wrong, fmt.Sprintf("table %s has columns %v instead of %v", t.Name, t.Columns,
				shape.columns))
		}
	}
	for _, t := range a.manifest.Tables {
		if !known[t.Name] {
			wrong = append(wrong, fmt.Sprintf("table %s is none of version %d", t.Name, a.manifest.Version))
		}
	}
	if len(wrong) == 0 {
		return nil
	}
	return a.refuse(wrong...)
}

func sameColumns(a, b []ArchivedColumn) bool {
	byName := func(x, y ArchivedColumn) int { return strings.Compare(x.Name, y.Name) }
	return slices.Equal(slices.SortedFunc(slices.Values(a), byName), slices.SortedFunc(slices.Values(b), byName))
}

// fillTable inserts the rows of one table.
func (a *openedArchive) fillTable(ctx context.Context, tx *sql.Tx, kind string, shape tableShape) error {
	file, err := a.zip.Open(a.tables[shape.name].file())
	if err != nil {
		return err
	}
	defer file.Close()
	insert, err := tx.PrepareContext(ctx, shape.insert(kind))
	if err != nil {
		return err
	}
	defer insert.Close()
	lines := bufio.NewReader(file)
	for n := 1; ; n++ {
		line, err := lines.ReadBytes('\n')
		if errors.Is(err, io.EOF) && len(line) == 0 {
			break
		}
		if err != nil {
			return fmt.Errorf("line %d: %w", n, err)
		}
		values, err := readRow(line, shape.columns)
		if err != nil {
			return a.refuse(fmt.Sprintf("%s, line %d: %v", a.tables[shape.name].file(), n, err))
		}
		if _, err := insert.ExecContext(ctx, values...); err != nil {
			return fmt.Errorf("row %d: %w", n, err)
		}
	}
	return numberOn(ctx, tx, kind, shape)
}

// numberOn lets PostgreSQL go on numbering after the last row; SQLite does so by
// itself.
func numberOn(ctx context.Context, tx *sql.Tx, kind string, shape tableShape) error {
	if kind != "postgres" || shape.identity == "" {
		return nil
	}
	_, err := tx.ExecContext(ctx, "SELECT setval(pg_get_serial_sequence($1, $2), max("+quoted(shape.identity)+
		")) FROM "+quoted(shape.name), quoted(shape.name), shape.identity)
	return err
}
