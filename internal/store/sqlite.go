package store

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"syscall"

	"github.com/mattn/go-sqlite3"
	gormsqlite "gorm.io/driver/sqlite"
)

// sqliteReaders is how many connections read at once. Reading is short and the
// processor is the limit, so a handful serves 200 phones.
const sqliteReaders = 4

// connectSQLite opens a file with one writing connection and a few reading ones:
// the write-ahead log lets readers go on while a commit waits for the disk.
func connectSQLite(ctx context.Context, path string) (*Store, error) {
	if err := touch(path); err != nil {
		return nil, &OpenError{Database: path, Reason: explainFile(path, err), Err: err}
	}
	s, err := connectFile(ctx, path)
	if err != nil {
		return nil, &OpenError{Database: path, Reason: explainSQLite(err), Err: err}
	}
	return s, nil
}

func connectFile(ctx context.Context, path string) (*Store, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	writer, err := sql.Open("sqlite3", sqliteDSN(full, true))
	if err != nil {
		return nil, err
	}
	writer.SetMaxOpenConns(1)
	reader, err := sql.Open("sqlite3", sqliteDSN(full, false))
	if err != nil {
		return nil, errors.Join(err, writer.Close())
	}
	reader.SetMaxOpenConns(sqliteReaders)
	reader.SetMaxIdleConns(sqliteReaders)
	if err := errors.Join(ping(ctx, writer), ping(ctx, reader)); err != nil {
		return nil, errors.Join(err, writer.Close(), reader.Close())
	}
	s := &Store{name: path, writers: newQueue(1), readers: newQueue(sqliteReaders), shared: &sharing{}}
	if s.write, err = wrap(sqliteDialect{&gormsqlite.Dialector{Conn: writer}}); err != nil {
		return nil, errors.Join(err, writer.Close(), reader.Close())
	}
	if s.read, err = wrap(sqliteDialect{&gormsqlite.Dialector{Conn: reader}}); err != nil {
		return nil, errors.Join(err, writer.Close(), reader.Close())
	}
	return s, nil
}

// sqliteDSN gives the address of a file with its settings, which the driver
// applies to each connection that it makes, the busy timeout before all others.
func sqliteDSN(path string, write bool) string {
	settings := url.Values{
		"_busy_timeout": {"5000"}, // ms: another program, such as a backup, may hold the file
		"_foreign_keys": {"on"},
		"_synchronous":  {"FULL"},
		// Statements are the same all evening: each connection reads them once.
		"_stmt_cache_size": {"100"},
	}
	if write {
		settings.Set("_journal_mode", "WAL")
		settings.Set("_txlock", "immediate")
	} else {
		settings.Set("_query_only", "on")
	}
	// In an SQLite address % begins an escape, ? the settings and # a fragment
	// (SQLite documentation, "Uniform Resource Identifiers").
	escape := strings.NewReplacer("%", "%25", "?", "%3F", "#", "%23")
	return "file:" + escape.Replace(path) + "?" + settings.Encode()
}

var (
	errDirectory = errors.New("is a directory")
	errMemory    = errors.New("is no file")
)

// touch makes the file when it is missing, readable by its owner alone, and
// finds out whether it can be written.
func touch(path string) error {
	if path == "" || strings.HasPrefix(path, ":memory:") {
		return errMemory
	}
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return errDirectory
	}
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return err
	}
	return file.Close()
}

// explainFile says why a file cannot hold the database and what to do.
func explainFile(path string, err error) string {
	folder := filepath.Dir(path)
	switch {
	case errors.Is(err, errMemory):
		return "this is no file, and ratings kept in memory alone would be lost; write the path of a file"
	case errors.Is(err, errDirectory):
		return "this is a folder; write the path of a file in it, such as " + filepath.Join(path, DefaultPath)
	case errors.Is(err, fs.ErrNotExist):
		return "the folder " + folder + " does not exist; make it first or name another"
	case errors.Is(err, syscall.ENOTDIR):
		return folder + " is no folder; name a file in a folder"
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return "the file or its folder cannot be written by this program; change who may write there, or name " +
			"another file"
	case errors.Is(err, syscall.ENOSPC):
		return "the disk is full; make room first"
	}
	return oneLine(err)
}

// explainSQLite says why SQLite refused a file and what to do.
func explainSQLite(err error) string {
	var refused sqlite3.Error
	if !errors.As(err, &refused) {
		return oneLine(err)
	}
	switch refused.Code {
	case sqlite3.ErrNotADB:
		return "this file is no SQLite database; name another file, or a new one that will be made; if it was " +
			"Cloche’s, it is damaged: " +
			whatNow
	case sqlite3.ErrCorrupt:
		return "the file is damaged; " + whatNow
	case sqlite3.ErrBusy, sqlite3.ErrLocked:
		return "another program keeps the file locked; close it first"
	case sqlite3.ErrReadonly, sqlite3.ErrPerm, sqlite3.ErrCantOpen:
		return "the file or its folder cannot be written by this program; change who may write there, or name " +
			"another file"
	case sqlite3.ErrFull:
		return "the disk is full; make room first"
	}
	return oneLine(err)
}

// LeftOpen tells whether the program that had an SQLite file last did not close it, or another has
// it open: SQLite deletes the write-ahead log when the last connection is closed (SQLite
// documentation, "Write-Ahead Logging"). It is false for a server, and for a file that is not there.
func LeftOpen(dsn string) bool {
	path, isFile := sqlitePath(dsn)
	if !isFile {
		return false
	}
	wal, err := os.Stat(path + "-wal")
	return err == nil && wal.Size() > 0
}
