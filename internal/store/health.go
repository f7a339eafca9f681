package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"
)

// lastReady is the setting that [Store.Ready] writes.
const lastReady = "last ready"

// Ready writes and so finds out whether answers can be kept now.
func (s *Store) Ready(ctx context.Context, at time.Time) error {
	return s.writing(ctx, "write to see whether that can be done", func(tx *gorm.DB) error {
		row := settingRow{Name: lastReady, Value: instant(at).Format(time.RFC3339Nano)}
		return tx.Clauses(clause.OnConflict{Columns: []clause.Column{{Name: "name"}},
			DoUpdates: clause.AssignmentColumns([]string{"value"})}).
			Create(&row).Error
	})
}

// whatNow is what to do about a damaged file.
const whatNow = "stop the service, keep this file aside, restore the newest backup with “cloche restore BACKUP " +
	"--database NEW.db”, " +
	"and start on the new file; the disk may be failing"

// queryer is a pool of connections or a transaction.
type queryer interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

var errDamaged = errors.New("the file is damaged")

// checkFile reads a SQLite file through and finds damage that would show only when
// somebody's answers are needed: pages and indexes that do not fit together, and rows
// that refer to none, and columns of a type that none has (SQLite documentation, "PRAGMA integrity_check" and "PRAGMA
// foreign_key_check"). The quicker quick_check does not hold indexes against their
// tables, and saw fewer than half as many of 500 bytes that were changed; this takes 40 ms
// a MiB. PostgreSQL looks after its files itself.
func checkFile(ctx context.Context, db queryer) error {
	var found string
	if err := db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&found); err != nil {
		return fmt.Errorf("%w: %w", errDamaged, err)
	}
	if found != "ok" {
		return fmt.Errorf("%w: %s", errDamaged, found)
	}
	err := db.QueryRowContext(ctx, `SELECT "table" FROM pragma_foreign_key_check LIMIT 1`).Scan(&found)
	switch {
	case errors.Is(err, sql.ErrNoRows): // the definitions of tables are text, which no check reads
		if _, err = columnsOf(ctx, db, "sqlite"); err != nil {
			return fmt.Errorf("%w: %w", errDamaged, err)
		}
		return nil
	case err != nil:
		return fmt.Errorf("%w: %w", errDamaged, err)
	}
	return fmt.Errorf("%w: a row of %s refers to one that is missing", errDamaged, found)
}

// MustBeSound returns an [OpenError] when the file is damaged; a server looks after its own.
func (s *Store) MustBeSound(ctx context.Context) error {
	if s.kind() != "sqlite" {
		return nil
	}
	pool, err := s.read.DB()
	if err != nil {
		return err
	}
	err = s.cutShort(ctx, pool)
	if err == nil {
		err = checkFile(ctx, pool)
	}
	if err != nil {
		if unavailable(err) {
			return &OpenError{Database: s.name, Reason: explainSQLite(err), Err: err}
		}
		return &OpenError{Database: s.name, Reason: oneLine(err) + "; " + whatNow, Err: err}
	}
	return nil
}

// cutShort finds a file that ends within its last page: SQLite reads what is missing
// there as zeroes. Only where the write-ahead log is empty are all pages in the file.
func (s *Store) cutShort(ctx context.Context, pool queryer) error {
	if wal, err := os.Stat(s.name + "-wal"); err == nil && wal.Size() > 0 {
		return nil
	}
	file, err := os.Stat(s.name)
	if err != nil {
		return err
	}
	var size int64
	if err := pool.QueryRowContext(ctx, "SELECT page_count * page_size FROM pragma_page_count, pragma_page_size").
		Scan(&size); err != nil {
		return fmt.Errorf("%w: %w", errDamaged, err)
	}
	if file.Size() < size {
		return fmt.Errorf("%w: it has %d of %d bytes", errDamaged, file.Size(), size)
	}
	return nil
}
