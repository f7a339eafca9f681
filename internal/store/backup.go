package store

import (
	"archive/zip"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"
)

// ArchiveFormat is the version of the archive that [Store.Backup] writes and
// [Restore] reads.
const ArchiveFormat = 1

const manifestName = "manifest.json"

// Manifest is the list of contents of an archive: the file manifest.json in it.
//
// An archive is a ZIP file, the same for SQLite and PostgreSQL. Beside the
// manifest it holds one file a table, tables/NAME.jsonl: UTF-8, one row a line, each a
// JSON array of the values in the order of the manifest's columns. Rows stand in
// the order of their primary key, texts compared by their bytes, so that the same
// data always gives the same bytes. NULL is null; other values are written by the
// kind of their column:
//
//	text     a string; {"base64": "…"} when the bytes are no UTF-8
//	integer  a number without a fraction
//	real     a number, shortest form that reads back the same
//	boolean  true or false
//	time     a string, RFC 3339 in UTC
//
// The sums guard against damage, not against forgery: who can write an archive can
// write its sums. An archive holds all that the database holds, password hashes
// included, and is to be kept as safe.
type Manifest struct {
	Cloche  string          `json:"cloche"` // "backup": what this file is
	Format  int             `json:"format"`
	Version int64           `json:"schema"` // of the tables: the last migration
	At      time.Time       `json:"made_at"`
	Tables  []ArchivedTable `json:"tables"` // by name
}

// ArchivedTable says what the file of a table holds.
type ArchivedTable struct {
	Name    string           `json:"name"`
	Columns []ArchivedColumn `json:"columns"`
	Rows    int              `json:"rows"`
	SHA256  string           `json:"sha256"` // of the file's bytes, in hexadecimal
}

// ArchivedColumn is a column with the kind of its values.
type ArchivedColumn struct {
	Name string `json:"name"`
	Kind string `json:"kind"` // text, integer, real, boolean, bytes (base64) or time
}

// Rows counts the rows of all tables.
func (m Manifest) Rows() int {
	n := 0
	for _, t := range m.Tables {
		n += t.Rows
	}
	return n
}

func (t ArchivedTable) file() string { return "tables/" + t.Name + ".jsonl" }

// ErrNoTables says that a database was never used by this program.
var ErrNoTables = errors.New("the database has no tables: there is nothing to back up")

// Backup writes the whole database as an archive; see [Manifest]. It reads in one
// transaction and so shows one moment, while others go on writing. at is noted
// as the time at which it was made.
func (s *Store) Backup(ctx context.Context, w io.Writer, at time.Time) (Manifest, error) {
	var m Manifest
	err := s.snapshot(ctx, func(tx *sql.Tx) error {
		if s.kind() == "sqlite" {
			if err := checkFile(ctx, tx); err != nil {
				return fmt.Errorf("%w; %s", err, whatNow)
			}
		}
		var err error
		m, err = archive(ctx, tx, s.kind(), w, at)
		return err
	})
	if err != nil {
		return Manifest{}, fmt.Errorf("back up %s: %w", s.name, err)
	}
	return m, nil
}

// kind is "sqlite" or "postgres".
func (s *Store) kind() string { return s.write.Name() }

// snapshot reads in one transaction that sees one moment: SQLite gives that with
// its write-ahead log, PostgreSQL when asked (PostgreSQL 15 documentation, section
// 13.2.2, "Repeatable Read Isolation Level").
func (s *Store) snapshot(ctx context.Context, read func(tx *sql.Tx) error) error {
	pool, err := s.read.DB()
	if err != nil {
		return err
	}
	if err := s.readers.enter(ctx); err != nil {
		return translated(err)
	}
	defer s.readers.leave()
	tx, err := pool.BeginTx(ctx, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true})
	if err != nil {
		return err
	}
	if err := read(tx); err != nil {
		return errors.Join(err, tx.Rollback())
	}
	return tx.Rollback() // nothing was written
}

func archive(ctx context.Context, tx *sql.Tx, kind string, w io.Writer, at time.Time) (Manifest, error) {
	version, err := versionOf(ctx, tx, kind)
	if err != nil {
		return Manifest{}, err
	}
	shapes, err := shapesOf(ctx, tx, kind)
	if err != nil {
		return Manifest{}, err
	}
	if version == 0 || len(shapes) == 0 {
		return Manifest{}, ErrNoTables
	}
	m := Manifest{Cloche: "backup", Format: ArchiveFormat, Version: version, At: instant(at)}
	out := zip.NewWriter(w)
	for _, shape := range shapes {
		t := ArchivedTable{Name: shape.name, Columns: shape.columns}
		file, err := out.CreateHeader(&zip.FileHeader{Name: t.file(), Method: zip.Deflate, Modified: m.At})
		if err != nil {
			return Manifest{}, err
		}
		if t.Rows, t.SHA256, err = writeTable(ctx, tx, kind, shape, file); err != nil {
			return Manifest{}, fmt.Errorf("table %s: %w", t.Name, err)
		}
		m.Tables = append(m.Tables, t)
	}
	file, err := out.CreateHeader(&zip.FileHeader{Name: manifestName, Method: zip.Deflate, Modified: m.At})
	if err != nil {
		return Manifest{}, err
	}
	text := json.NewEncoder(file)
	text.SetIndent("", "  ")
	return m, errors.Join(text.Encode(m), out.Close())
}

// writeTable writes the rows of a table, and returns their number and the SHA-256
// of what it wrote.
func writeTable(ctx context.Context, tx *sql.Tx, kind string, shape tableShape, w io.Writer) (int, string, error) {
	rows, err := tx.QueryContext(ctx, shape.selectAll(kind))
	if err != nil {
		return 0, "", err
	}
	defer rows.Close()
	sum := sha256.New()
	both := io.MultiWriter(w, sum)
	values := make([]any, len(shape.columns))
	into := make([]any, len(values))
	for i := range values {
		into[i] = &values[i]
	}
	n := 0
	var line []byte
	for ; rows.Next(); n++ {
		if err := rows.Scan(into...); err != nil {
			return 0, "", err
		}
		if line, err = appendRow(line[:0], shape.columns, values); err != nil {
			return 0, "", fmt.Errorf("row %d: %w", n+1, err)
		}
		if _, err := both.Write(line); err != nil {
			return 0, "", err
		}
	}
	return n, hex.EncodeToString(sum.Sum(nil)), rows.Err()
}
