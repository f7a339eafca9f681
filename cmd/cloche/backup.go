package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"github.com/spf13/cobra"

	"cloche/internal/store"
)

func newBackupCommand() *cobra.Command {
	var database string
	var replace bool
	c := &cobra.Command{
		Use:   "backup FILE",
		Short: "Back up the whole database into one file, while the service runs",
		Long: "Backup writes everything that the database holds at one moment into one file,\n" +
			"the same kind of file for SQLite and PostgreSQL: a ZIP archive of the tables as\n" +
			"lines of JSON, with their SHA-256 sums. “cloche restore” reads it. The file holds\n" +
			"password hashes and answers: keep it as safe as the database.",
		Example: "  cloche backup cloche-backup.zip --database cloche.db",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return withStore(cmd, database, func(s *store.Store) error { return backUp(cmd, s, args[0], replace) })
		},
	}
	c.Flags().BoolVar(&replace, "replace", false, "replace FILE when it exists")
	addDatabase(c, &database)
	return c
}

func backUp(cmd *cobra.Command, s *store.Store, file string, replace bool) error {
	m, err := s.BackupFile(cmd.Context(), file, replace, time.Now())
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s exists already; name another file, or replace it with --replace", file)
	}
	if err != nil {
		return err
	}
	info, err := os.Stat(file)
	if err != nil {
		return err
	}
	fmt.Fprintf(cmd.OutOrStdout(), "Backed up %d rows of %d tables (version %d) into %s, %s.\n",
		m.Rows(), len(m.Tables), m.Version, file, size(info.Size()))
	return nil
}

// size is a number of bytes as people read it.
func size(bytes int64) string {
	switch {
	case bytes < 1<<10:
		return fmt.Sprintf("%d bytes", bytes)
	case bytes < 1<<20:
		return fmt.Sprintf("%.1f KiB", float64(bytes)/(1<<10))
	case bytes < 1<<30:
		return fmt.Sprintf("%.1f MiB", float64(bytes)/(1<<20))
	}
	return fmt.Sprintf("%.1f GiB", float64(bytes)/(1<<30))
}
