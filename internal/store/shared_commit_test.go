package store

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// together lets writes wait for the connection while it is held, and lets them go at once.
func together(t *testing.T, s *Store, works ...func(tx *gorm.DB) error) []error {
	t.Helper()
	must(t, s.writers.enter(t.Context()))
	errs := make([]error, len(works))
	var wait sync.WaitGroup
	for i, work := range works {
		wait.Go(func() {
			defer func() {
				if p := recover(); p != nil {
					errs[i] = fmt.Errorf("panic: %v", p)
				}
			}()
			errs[i] = s.writing(t.Context(), "write", work)
		})
		for waiting := 0; waiting <= i; {
			s.shared.mu.Lock()
			waiting = len(s.shared.waiting)
			s.shared.mu.Unlock()
		}
	}
	s.writers.leave()
	wait.Wait()
	return errs
}

// note writes a setting, and keeps the transaction in which it did.
func note(name string, in *sync.Map) func(tx *gorm.DB) error {
	return func(tx *gorm.DB) error {
		in.Store(name, tx.Statement.ConnPool)
		return tx.Create(&settingRow{Name: name, Value: "x"}).Error
	}
}

func kept(t *testing.T, s *Store, name string) bool {
	t.Helper()
	_, err := s.Setting(t.Context(), name)
	if err != nil && !errors.Is(err, panel.ErrNotFound) {
		t.Fatal(err)
	}
	return err == nil
}

// TestWritesAtOnceShareACommit has three wait, of which one goes wrong after it wrote and one
// panics: each learns how its own ended, and only what went well is kept.
func TestWritesAtOnceShareACommit(t *testing.T) {
	s := openSQLite(t)
	var in sync.Map
	wrong := errors.New("wrong")
	errs := together(t, s, note("first", &in),
		func(tx *gorm.DB) error { return errors.Join(note("second", &in)(tx), wrong) },
		func(tx *gorm.DB) error { _ = note("third", &in)(tx); panic("third") },
		note("fourth", &in))
	if errs[0] != nil || !errors.Is(errs[1], wrong) || fmt.Sprint(errs[2]) != "panic: third" || errs[3] != nil {
		t.Errorf("told %v", errs)
	}
	for name, want := range map[string]bool{"first": true, "second": false, "third": false, "fourth": true} {
		if kept(t, s, name) != want {
			t.Errorf("%s is kept: %t", name, !want)
		}
	}
	one, _ := in.Load("first")
	other, _ := in.Load("fourth")
	if one == nil || one != other {
		t.Error("two that waited at once had a transaction each")
	}
	// On the disk when it is told: another connection, which knows nothing of this one.
	again, err := Open(t.Context(), s.name)
	must(t, err)
	defer again.Close()
	if !kept(t, again, "fourth") {
		t.Error("another connection does not see it")
	}
}

// TestBrokenTransactionIsDoneApart has one of three end the transaction that all share, as
// SQLite does when the disk is full: the others are done all the same.
func TestBrokenTransactionIsDoneApart(t *testing.T) {
	s := openSQLite(t)
	var in sync.Map
	full := errors.New("full")
	errs := together(t, s, note("first", &in),
		func(tx *gorm.DB) error { return errors.Join(tx.Exec("ROLLBACK").Error, full) }, note("third", &in))
	if errs[0] != nil || errs[1] == nil || errs[2] != nil || !kept(t, s, "first") || !kept(t, s, "third") {
		t.Errorf("told %v; kept %t, %t", errs, kept(t, s, "first"), kept(t, s, "third"))
	}
}

// TestWhoHasGoneWritesNothing gives up while waiting, and before anybody began.
func TestWhoHasGoneWritesNothing(t *testing.T) {
	s := openSQLite(t)
	ctx, gone := context.WithCancel(t.Context())
	var in sync.Map
	must(t, s.writers.enter(t.Context()))
	told := make(chan error)
	go func() { told <- s.writing(ctx, "write", note("gone", &in)) }()
	gone()
	if err := <-told; !errors.Is(err, context.Canceled) {
		t.Errorf("told %v", err)
	}
	s.writers.leave()
	if err := s.writing(ctx, "write", note("gone", &in)); !errors.Is(err, context.Canceled) || kept(t, s, "gone") {
		t.Errorf("after it had gone: %v, kept %t", err, kept(t, s, "gone"))
	}
	must(t, s.writing(t.Context(), "write", note("there", &in)))
}
