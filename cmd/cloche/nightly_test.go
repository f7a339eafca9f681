package main

import (
	"bytes"
	"context"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"cloche/internal/store"
)

func zone(t *testing.T, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

func TestNextBackup(t *testing.T) {
	paris := zone(t, "Europe/Paris")
	at := func(month time.Month, day, hour, minute int) time.Time {
		return time.Date(2026, month, day, hour, minute, 0, 0, paris)
	}
	tests := []struct {
		name            string
		last, now, want time.Time
	}{
		{"never before", time.Time{}, at(6, 1, 19, 0), at(6, 1, 19, 0)},
		{"last night's, in the evening", at(6, 1, 4, 0), at(6, 1, 19, 0), at(6, 2, 4, 0)},
		{"last night's, a second later", at(6, 1, 4, 0), at(6, 1, 4, 0).Add(time.Second), at(6, 2, 4, 0)},
		{"made just before four", at(6, 1, 3, 59), at(6, 1, 3, 59), at(6, 1, 4, 0)},
		{"made by hand at noon", at(6, 1, 12, 0), at(6, 1, 19, 0), at(6, 2, 4, 0)},
		{"switched off at night", at(6, 1, 4, 0), at(6, 2, 9, 30), at(6, 2, 9, 30)},
		{"at four sharp", at(6, 1, 4, 0), at(6, 2, 4, 0), at(6, 2, 4, 0)},
		{"the last night of the month", at(6, 30, 4, 0), at(6, 30, 23, 0), at(7, 1, 4, 0)},
		{"the night that loses an hour", at(3, 28, 4, 0), at(3, 28, 23, 0), at(3, 29, 4, 0)},
		{"the night that gains an hour", at(10, 24, 4, 0), at(10, 24, 23, 0), at(10, 25, 4, 0)},
		{"a clock that was set back", at(6, 9, 4, 0), at(6, 1, 19, 0), at(6, 1, 19, 0)},
		{"the last in another zone", at(6, 1, 4, 0).UTC(), at(6, 1, 19, 0), at(6, 2, 4, 0)},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			if got := nextBackup(tc.last, tc.now); !got.Equal(tc.want) {
				t.Errorf("after one at %v, now %v: next %v, want %v", tc.last, tc.now, got, tc.want)
			}
		})
	}
	if short := at(3, 29, 4, 0).Sub(at(3, 28, 4, 0)); short != 23*time.Hour {
		t.Errorf("the night of the test has %v, want 23 h: the zone's rules changed", short)
	}
}

func TestTooOld(t *testing.T) {
	names := []string{"cloche-20260603-040000.zip", "notes.txt", "cloche-20260601-040000.zip",
		"cloche-20260602-040000.zip",
		"cloche-20260602.zip", "cloche-20261302-040000.zip"}
	tests := []struct {
		name string
		keep int
		want []string
	}{
		{"the newest", 1, []string{"cloche-20260601-040000.zip", "cloche-20260602-040000.zip"}},
		{"all but one", 2, []string{"cloche-20260601-040000.zip"}},
		{"all", 3, []string{}},
		{"more than there are", 14, []string{}},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			if diff := cmp.Diff(tc.want, append([]string{}, tooOld(names, tc.keep)...)); diff != "" {
				t.Errorf("to remove (-want +got):\n%s", diff)
			}
		})
	}
	if got, want := newest(names, time.UTC), time.Date(2026, 6, 3, 4, 0, 0, 0, time.UTC); !got.Equal(want) {
		t.Errorf("newest %v, want %v", got, want)
	}
}

// TestNightlyOnce makes backups on four nights and keeps two; each can be restored.
func TestNightlyOnce(t *testing.T) {
	s, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "c.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	n := nightly{Dir: t.TempDir(), Keep: 2}
	for day := range 4 {
		if err := n.once(t.Context(), s, time.Date(2026, 6, 1+day, 4, 0, 0, 0, time.Local)); err != nil {
			t.Fatal(err)
		}
	}
	names, err := namesIn(n.Dir)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"cloche-20260603-040000.zip", "cloche-20260604-040000.zip"}, names); diff != "" {
		t.Errorf("backups kept (-want +got):\n%s", diff)
	}
	for _, name := range names {
		if _, err := store.Restore(t.Context(), filepath.Join(n.Dir, name),
			filepath.Join(t.TempDir(), "r.db")); err != nil {
			t.Error(err)
		}
	}
}

// TestNightlyRuns starts the loop on an empty folder, which is due at once, and on
// a folder that is gone, which is logged.
func TestNightlyRuns(t *testing.T) {
	s, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "c.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var log lines
	tests := []struct{ name, dir, want string }{
		{"empty folder", t.TempDir(), "nightly backup made"},
		{"no folder", filepath.Join(t.TempDir(), "gone"), "nightly backup failed"},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			ctx, stop := context.WithCancel(t.Context())
			wait := nightly{Dir: tc.dir, Keep: 1}.start(ctx, s, slog.New(slog.NewTextHandler(&log, nil)))
			for deadline := time.Now().Add(30 * time.Second); !strings.Contains(log.String(),
				tc.want); time.Sleep(5 * time.Millisecond) {
				if time.Now().After(deadline) {
					t.Fatalf("the log does not say %q: %s", tc.want, log.String())
				}
			}
			stop()
			wait()
		})
	}
}

func TestBackupSettings(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	tests := []struct{ name, env, args, says string }{
		{"no number", "plenty", "", `CLOCHE_BACKUP_KEEP is "plenty"`},
		{"none to keep", "0", "", "keep at least 1"},
		{"none to keep by flag", "3", "--backup-keep=0", "keep at least 1"},
		{"a missing folder", "", "--backup-dir=/nowhere/at/all", "/nowhere/at/all is not there"},
		{"a file", "", "--backup-dir=" + file, "is not there"},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			t.Setenv("CLOCHE_BACKUP_KEEP", tc.env)
			args := slices.DeleteFunc([]string{"serve", "--database", filepath.Join(t.TempDir(), "x.db"), tc.args},
				func(a string) bool { return a == "" })
			var stdout, stderr bytes.Buffer
			if code := run(t.Context(), args, strings.NewReader(""), &stdout, &stderr); code != exitInput ||
				!strings.Contains(stderr.String(), tc.says) {
				t.Errorf("exit %d, %s; want %d and that it says %q", code, &stderr, exitInput, tc.says)
			}
		})
	}
}

// TestBackupOfAnotherServiceIsFound asks at 04:01 whether the backup of 04:00 was made.
func TestBackupOfAnotherServiceIsFound(t *testing.T) {
	now := time.Date(2026, 6, 2, 4, 1, 0, 0, time.UTC)
	for name, want := range map[string]bool{"cloche-20260602-040012.zip": true, "cloche-20260601-040012.zip": false,
		"other.zip": false} {
		if got := isMade([]string{name}, now); got != want {
			t.Errorf("with %s: made %t", name, got)
		}
	}
}
