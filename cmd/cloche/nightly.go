package main

import (
	"context"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"cloche/internal/store"
)

// nightly is the setting of the backups that the service makes by itself.
type nightly struct {
	Dir  string // folder; "" = none are made
	Keep int    // how many of the newest are kept
}

const (
	nightlyHour = 4 // local time: after the last guest, before the first delivery
	nightlyKeep = 14
	// nightlyAgain is how long a backup that failed waits for its next try.
	nightlyAgain = 15 * time.Minute
	// nightlyName is the name of a nightly backup by its local time.
	nightlyName = "cloche-20060102-150405.zip"
)

func (n *nightly) addFlags(c *cobra.Command) {
	c.Flags().StringVar(&n.Dir, "backup-dir", fromEnv("CLOCHE_BACKUP_DIR", ""),
		"folder for a backup each night at 04:00 (default: none is made), and for the one before tables change "+
			"(default: beside the database)")
	c.Flags().IntVar(&n.Keep, "backup-keep", nightlyKeep,
		"how many nightly backups to keep; also from CLOCHE_BACKUP_KEEP")
}

// words say in the service's log where backups go; "" when none are made.
func (n nightly) words() string {
	if n.Dir == "" {
		return ""
	}
	return fmt.Sprintf("each night at %02d:00 into %s; the newest %d are kept", nightlyHour, n.Dir, n.Keep)
}

// finish takes the number from the environment unless a flag said it, and checks
// the setting.
func (n *nightly) finish(c *cobra.Command) error {
	if set := os.Getenv("CLOCHE_BACKUP_KEEP"); set != "" && !c.Flags().Changed("backup-keep") {
		keep, err := strconv.Atoi(set)
		if err != nil {
			return fmt.Errorf("CLOCHE_BACKUP_KEEP is %q; write a whole number of backups, such as %d", set, nightlyKeep)
		}
		n.Keep = keep
	}
	if n.Keep < 1 {
		return fmt.Errorf("%d nightly backups to keep; keep at least 1", n.Keep)
	}
	if n.Dir == "" {
		return nil
	}
	info, err := os.Stat(n.Dir)
	if err != nil || !info.IsDir() {
		return fmt.Errorf("the folder for backups %s is not there; make it first, or name another with --backup-dir",
			n.Dir)
	}
	return nil
}

// start makes backups until ctx ends; the returned function waits for one under
// way. What fails is logged and tried again: guests go on tasting.
func (n nightly) start(ctx context.Context, s *store.Store, log *slog.Logger) (wait func()) {
	done := make(chan struct{})
	go func() {
		defer close(done)
		if n.Dir != "" {
			n.run(ctx, s, log)
		}
	}()
	return func() { <-done }
}

func (n nightly) run(ctx context.Context, s *store.Store, log *slog.Logger) {
	for {
		names, err := namesIn(n.Dir)
		if err != nil {
			log.Error("nightly backup: read the folder", slog.Any("error", err))
		}
		now := time.Now()
		if !pauseUntil(ctx, nextBackup(newest(names, now.Location()), now)) {
			return
		}
		if made, ctxEnded := n.madeElsewhere(ctx, s); made || ctxEnded {
			continue
		}
		if err := n.once(ctx, s, time.Now()); err != nil && ctx.Err() == nil {
			log.Error("nightly backup failed", slog.Any("error", err), slog.Duration("next_try_in", nightlyAgain))
			if !pauseUntil(ctx, time.Now().Add(nightlyAgain)) {
				return
			}
			continue
		}
		log.Info("nightly backup made", slog.String("folder", n.Dir))
	}
}

// apart is how far apart services that share a database and a folder make their backups, at
// most: whoever comes later finds it made.
const apart = 2 * time.Minute

// madeElsewhere tells whether another service made the backup that is due.
func (n nightly) madeElsewhere(ctx context.Context, s *store.Store) (made, ended bool) {
	if s.Others() == nil {
		return false, false
	}
	if !pauseUntil(ctx, time.Now().Add(rand.N(apart))) {
		return false, true
	}
	names, err := namesIn(n.Dir)
	now := time.Now()
	return err == nil && isMade(names, now), false
}

// isMade tells whether the backup that was due is among names.
func isMade(names []string, now time.Time) bool {
	last := newest(names, now.Location())
	return !last.IsZero() && nextBackup(last, now).After(now)
}

// once makes one backup and then removes those that are too old to keep.
func (n nightly) once(ctx context.Context, s *store.Store, now time.Time) error {
	if _, err := s.BackupFile(ctx, filepath.Join(n.Dir, now.Format(nightlyName)), false, now); err != nil {
		return err
	}
	names, err := namesIn(n.Dir)
	if err != nil {
		return err
	}
	for _, name := range tooOld(names, n.Keep) {
		if err := os.Remove(filepath.Join(n.Dir, name)); err != nil {
			return fmt.Errorf("remove an old backup: %w", err)
		}
	}
	return nil
}

// nextBackup returns when to make the next backup: the first 04:00, in the zone of
// now, after the last one; now when that has passed, as on a machine that is
// switched off at night, or when there was none.
func nextBackup(last, now time.Time) time.Time {
	if last.IsZero() || last.After(now) { // a clock that was set back
		return now
	}
	last = last.In(now.Location())
	due := time.Date(last.Year(), last.Month(), last.Day(), nightlyHour, 0, 0, 0, now.Location())
	if !due.After(last) {
		due = time.Date(last.Year(), last.Month(), last.Day()+1, nightlyHour, 0, 0, 0, now.Location())
	}
	if due.Before(now) {
		return now
	}
	return due
}

// newest returns the time of the newest nightly backup among names, the zero time
// when there is none.
func newest(names []string, zone *time.Location) time.Time {
	var last time.Time
	for _, name := range names {
		if at, err := time.ParseInLocation(nightlyName, name, zone); err == nil && at.After(last) {
			last = at
		}
	}
	return last
}

// tooOld returns the nightly backups among names beyond the newest so many. Files
// of other names are not ours to remove.
func tooOld(names []string, keep int) []string {
	var ours []string
	for _, name := range names {
		if _, err := time.Parse(nightlyName, name); err == nil {
			ours = append(ours, name)
		}
	}
	slices.Sort(ours) // by time, as the names are made
	return ours[:max(0, len(ours)-keep)]
}

func namesIn(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder)
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = e.Name()
	}
	return names, err
}

// pauseUntil waits; false when ctx ended first. It looks at the clock each minute:
// a machine that slept goes on at once.
func pauseUntil(ctx context.Context, at time.Time) bool {
	for {
		left := time.Until(at)
		if left <= 0 {
			return ctx.Err() == nil
		}
		timer := time.NewTimer(min(left, time.Minute))
		select {
		case <-ctx.Done():
			timer.Stop()
			return false
		case <-timer.C:
		}
	}
}
