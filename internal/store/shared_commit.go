package store

import (
	"context"
	"slices"
	"sync"
	"time"

	"gorm.io/gorm"
)

// mostTogether is how many writes share a commit at most: more than the server works on
// at once, and few enough that what one does is soon done.
const mostTogether = 64

// sharing lets writes that wait for the one writing connection of a SQLite file share a
// commit: most of what a small write costs is the wait for the disk at its end. Whoever
// gets the connection does the work of all who wait, each within a savepoint, and commits
// once. Nobody is told anything before that commit is on the disk. PostgreSQL needs none of
// this: transactions that commit at the same moment share a write of its log by themselves
// (PostgreSQL 15 documentation, section 30.5, "WAL Configuration", group commit).
type sharing struct {
	mu      sync.Mutex
	waiting []*write
}

// write is what one caller wants written.
type write struct {
	ctx      context.Context
	do       func(tx *gorm.DB) error
	err      error
	panicked any           // what do panicked with
	done     chan struct{} // closed when err says how it ended
}

func (s *sharing) join(ctx context.Context, do func(tx *gorm.DB) error) *write {
	w := &write{ctx: ctx, do: do, done: make(chan struct{})}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.waiting = append(s.waiting, w)
	return w
}

// take returns those who wait, who came first first; they wait no more.
func (s *sharing) take() []*write {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := min(len(s.waiting), mostTogether)
	taken := slices.Clone(s.waiting[:n])
	s.waiting = slices.Delete(s.waiting, 0, n)
	return taken
}

// leave takes back a write that nobody has begun; false when somebody has.
func (s *sharing) leave(w *write) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	i := slices.Index(s.waiting, w)
	if i < 0 {
		return false
	}
	s.waiting = slices.Delete(s.waiting, i, i+1)
	return true
}

func (w *write) over() bool {
	select {
	case <-w.done:
		return true
	default:
		return false
	}
}

// run does the work in a transaction. A panic is its caller's, not that of whoever
// happens to do the work.
func (w *write) run(tx *gorm.DB) (err error) {
	defer func() {
		if w.panicked = recover(); w.panicked != nil {
			err = context.Canceled // rolls it back
		}
	}()
	if err := w.ctx.Err(); err != nil {
		return err // whoever asked has gone
	}
	return w.do(tx)
}

// writeShared does what do says in a transaction that others may share, and returns once
// that is on the disk or was rolled back.
func (s *Store) writeShared(ctx context.Context, do func(tx *gorm.DB) error) error {
	w := s.shared.join(ctx, do)
	select {
	case <-w.done:
	case s.writers <- struct{}{}:
		for !w.over() {
			s.commitTogether(s.shared.take())
		}
		s.writers.leave()
	case <-ctx.Done():
		if s.shared.leave(w) {
			return ctx.Err()
		}
		<-w.done
	}
	if w.panicked != nil {
		panic(w.panicked)
	}
	return w.err
}

// commitTogether does the work of all in one transaction; when that breaks, in one each.
func (s *Store) commitTogether(all []*write) {
	begun, broken := false, error(nil)
	// Its own time: a phone that hangs up takes its answers back from nobody else. See [uninterrupted].
	err := s.write.WithContext(context.Background()).Transaction(func(tx *gorm.DB) error {
		begun = true
		if len(all) == 1 {
			all[0].err = all[0].run(tx)
			return all[0].err
		}
		for _, w := range all {
			if broken = w.apart(tx); broken != nil {
				return broken
			}
		}
		return nil
	})
	switch {
	case broken != nil && begun: // SQLite gives up the whole of a transaction when the disk is full, say
		for _, w := range all {
			s.commitTogether([]*write{w})
		}
		return
	case err != nil:
		for _, w := range all {
			if w.err == nil {
				w.err = err
			}
		}
	}
	for _, w := range all {
		close(w.done)
	}
}

// apart does the work within a savepoint, so that an error undoes it and nothing else. An
// error of its own says that the transaction cannot go on.
func (w *write) apart(tx *gorm.DB) error {
	if _, err := execute(tx, "SAVEPOINT one_of_many"); err != nil {
		return err
	}
	if w.err = w.run(tx); w.err != nil {
		if _, err := execute(tx, "ROLLBACK TO one_of_many"); err != nil {
			return err
		}
	}
	_, err := execute(tx, "RELEASE one_of_many")
	return err
}

// execute runs a statement without GORM, which takes longer over a small one than SQLite does.
// Its values stand as $1, $2, …, in the order in which they first appear, which both
// databases read; in conditions within CAST, as [sqliteDialect] tells. It returns how many rows it changed.
func execute(tx *gorm.DB, statement string, values ...any) (int64, error) {
	defer logIfSlow(tx, time.Now(), statement)
	done, err := tx.Statement.ConnPool.ExecContext(tx.Statement.Context, statement, values...)
	if err != nil {
		return 0, err
	}
	return done.RowsAffected()
}

// logIfSlow does for a statement without GORM what GORM does for others.
func logIfSlow(tx *gorm.DB, begun time.Time, statement string) {
	tx.Logger.Trace(tx.Statement.Context, begun, func() (string, int64) { return statement, -1 }, nil)
}
