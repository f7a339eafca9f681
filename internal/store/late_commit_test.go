package store

import (
	"context"
	"errors"
	"testing"
	"time"

	"gorm.io/gorm"

	"cloche/internal/panel"
	"cloche/internal/store/storetest"
)

// TestCommitWhoseTimeIsUp: a transaction that comes to its commit after its time was rolled
// back, and whoever asked is told to come again.
func TestCommitWhoseTimeIsUp(t *testing.T) {
	s, err := Open(t.Context(), storetest.Postgres(t))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	err = s.writing(ctx, "wait", func(tx *gorm.DB) error {
		<-ctx.Done()
		time.Sleep(50 * time.Millisecond) // so that it is rolled back by then
		return nil
	})
	if !errors.Is(err, panel.ErrUnavailable) {
		t.Errorf("%v, want that the database cannot be used at this moment", err)
	}
}
