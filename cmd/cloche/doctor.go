package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"cloche/internal/store"
)

const (
	backupStale = 36 * time.Hour // a nightly backup was missed
	diskLow     = 1 << 30        // bytes: an evening needs some MiB, its backups and an update more
	clockAhead  = time.Minute    // the log may not be younger than now by more
	readyWithin = 5 * time.Second
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
			"written, how much room its disk has, the clock, the age of the newest backup, and, with --url, whether\n" +
			"the running service answers there and by HTTPS. It may run beside the service. It changes nothing but\n" +
			"one setting that says when it wrote. Exit code 1 when something is wrong.",
		Example: "  cloche doctor --database cloche.db --backup-dir backups --url https://taste.example.org",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			all := append(checkDatabase(cmd.Context(), o.Database, time.Now()), checkDisk(o.Database)...)
			all = append(all, checkBackups(o.Backup.Dir, time.Now()), checkAddress(cmd.Context(), o.URL))
			return tellCheckups(cmd.OutOrStdout(), all)
		},
	}
	addDatabase(c, &o.Database)
	c.Flags().StringVar(&o.Backup.Dir, "backup-dir", fromEnv("CLOCHE_BACKUP_DIR", ""), "folder of the nightly backups")
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
	if err := s.Ready(ctx, now); err != nil {
		return append(all, checkup{"writing", err.Error(), "make room on the disk, or allow this user to write there",
			true})
	}
	return append(all, checkup{what: "writing", found: "what guests send can be kept"}, checkClock(ctx, s, now))
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

// checkAddress asks the running service whether it can keep answers, at the address that
// phones use.
func checkAddress(ctx context.Context, address string) checkup {
	if address == "" {
		return checkup{what: "address", found: "none is named, so it was not tried",
			todo: "name the address on the guests' cards with --url"}
	}
	base, err := url.Parse(address)
	if err != nil || base.Host == "" {
		return checkup{"address", fmt.Sprintf("%q is no address", address), "write it as https://taste.example.org",
			true}
	}
	ctx, stop := context.WithTimeout(ctx, readyWithin)
	defer stop()
	ask, err := http.NewRequestWithContext(ctx, http.MethodGet, base.JoinPath("readyz").String(), nil)
	if err != nil {
		return checkup{"address", err.Error(), "write it as https://taste.example.org", true}
	}
	answer, err := http.DefaultClient.Do(ask)
	if err != nil {
		return checkup{"address", err.Error(), "start the service, and try the address on a phone in the room", true}
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		return checkup{"address", fmt.Sprintf("%s answers %s", ask.URL.Redacted(), answer.Status),
			"look into the service's log: it cannot keep answers now, or something else answers there", true}
	}
	if !strings.EqualFold(base.Scheme, "https") {
		return checkup{what: "address", found: address + " answers, without HTTPS",
			todo: "with HTTPS phones go on when the network is gone; without it a page that is open keeps what is " +
				"typed"}
	}
	return checkup{what: "address", found: address + " answers by HTTPS"}
}
