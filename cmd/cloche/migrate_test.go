package main

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/store"
	"cloche/internal/store/storetest"
)

// TestMigrateThereAndBack moves the demo's studies to PostgreSQL and back into a file, whose
// backup holds the same bytes as the first.
func TestMigrateThereAndBack(t *testing.T) {
	t.Parallel()
	dir, server := t.TempDir(), storetest.Postgres(t)
	at := func(name string) string { return filepath.Join(dir, name) }
	kept, err := store.Open(t.Context(), at("kept.db"))
	fatal(t, err)
	_, err = setTable(t.Context(), kept)
	fatal(t, err)
	said := must(t, "migrate", "--from", at("kept.db"), "--to", server)
	for _, want := range []string{"answers ", "studies ", "events ", "rows of"} {
		if !strings.Contains(said, want) {
			t.Errorf("no %q in\n%s", want, said)
		}
	}
	must(t, "migrate", "--from", server, "--to", at("back.db"))
	sameTables(t, at("kept.db"), at("back.db"))
	sameStudies(t, kept, at("back.db"))
	fatal(t, kept.Close())
	for name, args := range map[string][]string{
		"never overwrites": {"--from", server, "--to", at("kept.db")},
		"empty":            {"--from", at("kept.db"), "--to", server},
		"no such file":     {"--from", at("none.db"), "--to", at("new.db")},
		"name both":        {"--from", at("kept.db")},
	} {
		code, _, stderr := command(t, append([]string{"migrate"}, args...)...)
		if code != exitInput || !strings.Contains(stderr, name) {
			t.Errorf("%v: exit %d, %q; want %d and %q", args, code, stderr, exitInput, name)
		}
	}
	// And it goes on numbering where it was.
	again, err := store.Open(t.Context(), server)
	fatal(t, err)
	defer again.Close()
	fatal(t, again.AppendEvent(t.Context(), panel.Event{At: time.Now(), Who: "lead", What: "tried"}))
}

// sameTables compares two databases by the sums of their backups.
func sameTables(t *testing.T, a, b string) {
	t.Helper()
	var sums [2]string
	for i, dsn := range []string{a, b} {
		said := must(t, "migrate", "--from", dsn, "--to", filepath.Join(t.TempDir(), "copy.db"))
		sums[i], _, _ = strings.Cut(said, "Moved")
	}
	if sums[0] != sums[1] {
		t.Errorf("before\n%s\nafter\n%s", sums[0], sums[1])
	}
}
