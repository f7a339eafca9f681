package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
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
const whatNow = "stop the service, keep this file aside, restore the newest backup with “cloche restore BACKUP --database NEW.db”, " +
	"and start on the new file; the disk may be failing"

// queryer is a pool of connections or a transaction.
type queryer interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

var errDamaged = errors.New("the file is damaged")

// quickCheck reads a SQLite file through and finds damage that would show only when
// somebody's answers are needed (SQLite documentation, "PRAGMA quick_check").
// PostgreSQL looks after its files itself.
func quickCheck(ctx context.Context, db queryer) error {
	var found string
	if err := db.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&found); err != nil {
		return fmt.Errorf("%w: %w", errDamaged, err)
	}
	if found != "ok" {
		return fmt.Errorf("%w: %s", errDamaged, found)
	}
	return nil
}

// mustBeSound refuses to start on a damaged file.
func (s *Store) mustBeSound(ctx context.Context) error {
	if s.kind() != "sqlite" {
		return nil
	}
	pool, err := s.read.DB()
	if err != nil {
		return err
	}
	if err := quickCheck(ctx, pool); err != nil {
		if unavailable(err) {
			return &OpenError{Database: s.name, Reason: explainSQLite(err), Err: err}
		}
		return &OpenError{Database: s.name, Reason: oneLine(err) + "; " + whatNow, Err: err}
	}
	return nil
}
