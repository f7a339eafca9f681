package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"cloche/internal/panel"
)

// attempts is how often a transaction is tried that the database gave up, for
// another one's sake or because it is shutting down. Row locks make that rare;
// after a restart each connection of the pool may be a dead one.
const attempts = 10

// writing runs one writing transaction: whole or not at all. doing says what for,
// in errors.
func (s *Store) writing(ctx context.Context, doing string, do func(tx *gorm.DB) error) error {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	if s.shared != nil {
		if err := s.writeShared(ctx, do); err != nil {
			return fmt.Errorf("%s: %w", doing, translated(err))
		}
		return nil
	}
	if err := s.writers.enter(ctx); err != nil {
		return fmt.Errorf("%s: %w", doing, translated(err))
	}
	defer s.writers.leave()
	return try(ctx, doing, func() (committing bool, err error) {
		err = s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
			err := do(tx)
			committing = err == nil
			return err
		})
		return committing, err
	})
}

// reading runs one reading statement. A second statement might see a later state:
// a method that needs two says all in one or uses writing.
func (s *Store) reading(ctx context.Context, doing string, do func(db *gorm.DB) error) error {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	if err := s.readers.enter(ctx); err != nil {
		return fmt.Errorf("%s: %w", doing, translated(err))
	}
	defer s.readers.leave()
	if err := ctx.Err(); err != nil { // whoever asked has gone
		return fmt.Errorf("%s: %w", doing, translated(err))
	}
	within := ctx
	if s.shared != nil {
		within = uninterrupted(ctx)
	}
	return try(ctx, doing, func() (bool, error) { return false, do(s.read.WithContext(within)) })
}

// uninterrupted is a context for statements of SQLite that have begun. For each that may be interrupted,
// database/sql and the driver start goroutines that wait for it, and hand its work from one to another. They
// wait for nobody else: for a lock at most the busy timeout, and nothing could interrupt a disk that writes.
func uninterrupted(ctx context.Context) context.Context { return context.WithoutCancel(ctx) }

// try runs do until it succeeds, or fails in a way that another attempt would
// not mend. do tells whether it had come to its commit.
func try(ctx context.Context, doing string, do func() (committing bool, err error)) error {
	for attempt := 1; ; attempt++ {
		committing, err := do()
		if err == nil {
			return nil
		}
		again := givenUp(err) || connectionLost(err) && !committing
		if !again || attempt == attempts || !pause(ctx, attempt) {
			return fmt.Errorf("%s: %w", doing, translated(err))
		}
	}
}

// givenUp tells whether the server says that it rolled a transaction back for
// another one's sake, or because it is shutting down.
func givenUp(err error) bool {
	var server *pgconn.PgError
	if !errors.As(err, &server) {
		return false
	}
	switch server.Code {
	case pgSerialisationFailure, pgDeadlock, pgShutdown, pgCrash:
		return true
	}
	return false
}

// connectionLost tells whether a connection turned out to be dead, as after a
// restart of the server. A transaction that had not come to its commit is then
// rolled back; of one that had, nobody knows.
func connectionLost(err error) bool {
	for _, lost := range []error{driver.ErrBadConn, pgconn.ErrConnClosed, io.EOF, io.ErrUnexpectedEOF,
		syscall.ECONNRESET, syscall.EPIPE} {
		if errors.Is(err, lost) {
			return true
		}
	}
	return false
}

// pause waits a little longer after each attempt, by chance, so that two
// transactions do not collide again; false when ctx ended first.
func pause(ctx context.Context, attempt int) bool {
	timer := time.NewTimer(rand.N(time.Duration(attempt) * 5 * time.Millisecond))
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-timer.C:
		return true
	}
}

// translated turns what the database says about a missing row into
// [panel.ErrNotFound], and what it says when it cannot serve into
// [panel.ErrUnavailable]. PostgreSQL refuses to look for text that it could not
// hold: that is not found either.
func translated(err error) error {
	var server *pgconn.PgError
	if errors.Is(err, gorm.ErrRecordNotFound) || errors.Is(err, sql.ErrNoRows) ||
		errors.As(err, &server) && server.Code == pgBadCharacter {
		return panel.ErrNotFound
	}
	if unavailable(err) {
		return fmt.Errorf("%w: %w", panel.ErrUnavailable, err)
	}
	return err
}

// The strengths of a lock on a study's row; see the package comment.
const (
	lockRating  = "KEY SHARE"
	lockSeating = "NO KEY UPDATE"
	lockState   = "UPDATE"
)

// lockStudy reads a study and keeps its state as it is until the transaction
// ends. SQLite needs no lock on a row: writing transactions run one by one.
func lockStudy(tx *gorm.DB, id panel.StudyID, strength string) (studyRow, error) {
	var row studyRow
	err := tx.Clauses(clause.Locking{Strength: strength}).Take(&row, "id = ?", id).Error
	return row, err
}
