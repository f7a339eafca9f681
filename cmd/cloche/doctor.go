package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"cloche/internal/store"
)

const (
	backupStale = 36 * time.Hour // a nightly backup was missed
	diskLow     = 1 << 30        // bytes: an evening needs some MiB, its backups and an update more
	clockAhead  = time.Minute    // the log may not be younger than now by more
)

var errUnwell = errors.New("something has to be put right before guests come")

// checkup is one thing that was looked at. What is neither wrong nor doubtful is well.
type checkup struct {
	what, found string
	todo        string // "" = nothing
	wrong       bool   // guests' answers are at risk, or nobody can taste
}

func newDoctorCommand() *cobra.Command {
	var o settings
	c := &cobra.Command{
		Use:   "doctor",
		Short: "Check before guests come that answers can be kept and phones can reach the service",
		Long: "Doctor looks at what an evening stands on: whether the database is sound, of this version and can be\n" +
			"written, how much room its disk has, the clock, the age of the newest backup, the port, and, with\n" +
			"--url, whether the running service answers there and by HTTPS, how long its certificate lasts, and\n" +
			"whether the address of who asks arrives through the proxy. It may run beside the service, which looks\n" +
			"at the same when it starts, but for the logs and the address, and shows the lead what it found. It\n" +
			"changes nothing but one setting that says when it wrote. Exit code 1 when something is wrong.",
		Example: "  cloche doctor --database cloche.db --backup-dir backups --url https://taste.example.org",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			all := append(checkDatabase(cmd.Context(), o.Database, time.Now()), checkDisk(o.Database)...)
			all = append(all, checkBackups(o.Backup.Dir, time.Now()), checkPort(cmd.Context(), o.Listen))
			all = append(all, checkAddress(cmd.Context(), o.URL, time.Now())...)
			return tellCheckups(cmd.OutOrStdout(), all)
		},
	}
	addDatabase(c, &o.Database)
	c.Flags().StringVar(&o.Backup.Dir, "backup-dir", fromEnv("CLOCHE_BACKUP_DIR", ""), "folder of the nightly backups")
	c.Flags().StringVar(&o.Listen, "listen", fromEnv("CLOCHE_LISTEN", ":8080"), "address that the service listens on")
	c.Flags().StringVar(&o.URL, "url", fromEnv("CLOCHE_URL", ""), "address at which phones reach the service")
	return c
}

// tellCheckups writes a line for each; an error when one is wrong.
func tellCheckups(w io.Writer, all []checkup) error {
	var bad error
	for _, x := range all {
		mark := "well   "
		switch {
		case x.wrong:
			mark, bad = "WRONG  ", errUnwell
		case x.todo != "":
			mark = "CAUTION"
		}
		fmt.Fprintf(w, "%s  %s: %s\n", mark, x.what, x.found)
		if x.todo != "" {
			fmt.Fprintf(w, "         %s\n", x.todo)
		}
	}
	return bad
}

// checkDatabase opens the database as it stands, reads it through, and writes.
func checkDatabase(ctx context.Context, database string, now time.Time) []checkup {
	s, err := store.OpenAsIs(ctx, database)
	if err != nil {
		return []checkup{{"database", err.Error(), "put this right, or name another with --database", true}}
	}
	defer s.Close()
	if err := s.MustBeSound(ctx); err != nil {
		return []checkup{{"database", err.Error(), "restore the newest backup as the line above says", true}}
	}
	all := []checkup{{what: "database", found: "read through and sound"}}
	if err := s.MustBeCurrent(ctx); err != nil {
		return append(all, checkup{"tables", err.Error(), "start “cloche serve” of this version once", true})
	}
	return append(all, checkLogs(ctx, s), checkWriting(ctx, s, now), checkClock(ctx, s, now))
}

func checkWriting(ctx context.Context, s *store.Store, now time.Time) checkup {
	if err := s.Ready(ctx, now); err != nil {
		return checkup{"writing", err.Error(), "make room on the disk, or allow this user to write there", true}
	}
	return checkup{what: "writing", found: "what guests send can be kept"}
}

// checkClock finds a clock that was set back: the log is younger than now.
func checkClock(ctx context.Context, s *store.Store, now time.Time) checkup {
	events, err := s.Events(ctx, "")
	if err != nil {
		return checkup{"clock", err.Error(), "try again; if it goes on, restore a backup", true}
	}
	found := now.Format("2 January 2006, 15:04 MST")
	for _, e := range events {
		if e.At.After(now.Add(clockAhead)) {
			return checkup{"clock", fmt.Sprintf("%s, and the log has an entry of %s", found,
				e.At.In(now.Location()).Format("2 January 2006, 15:04 MST")),
				"set the clock: times in reports and the pauses between servings come from it", true}
		}
	}
	return checkup{what: "clock", found: found + ", not before the newest entry of the log"}
}

func checkBackups(folder string, now time.Time) checkup {
	if folder == "" {
		return checkup{what: "backups", found: "no folder is named, so the service makes none",
			todo: "start the service with --backup-dir FOLDER, on another disk when there is one"}
	}
	names, err := namesIn(folder)
	if err != nil {
		return checkup{"backups", err.Error(), "make the folder, or name another with --backup-dir", true}
	}
	last := newest(names, now.Location())
	switch {
	case last.IsZero():
		return checkup{what: "backups", found: "the folder has none yet",
			todo: "make one now: cloche backup " + filepath.Join(folder, "before.zip")}
	case now.Sub(last) > backupStale:
		return checkup{what: "backups", found: "the newest is of " + last.Format("2 January 2006, 15:04"),
			todo: "look into the service's log for why, and make one now with “cloche backup”"}
	}
	return checkup{what: "backups", found: "the newest is of " + last.Format("2 January 2006, 15:04")}
}
