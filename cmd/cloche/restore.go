package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"cloche/internal/store"
)

func newRestoreCommand() *cobra.Command {
	var database string
	c := &cobra.Command{
		Use:   "restore FILE",
		Short: "Fill an empty database from a backup",
		Long: "Restore fills a new SQLite file, or an empty PostgreSQL database, from a file that\n" +
			"“cloche backup” wrote from either. It checks the whole backup first, keeps all of\n" +
			"it or nothing, and never overwrites. An older backup is brought up to date.",
		Example: "  cloche restore cloche-backup.zip --database restored.db",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			m, err := store.Restore(cmd.Context(), args[0], database)
			if err != nil {
				return err
			}
			fmt.Fprintf(cmd.OutOrStdout(), "Restored %d rows of %d tables, backed up at %s.\n",
				m.Rows(), len(m.Tables), m.At.Local().Format("2006-01-02 15:04:05 -07:00"))
			return nil
		},
	}
	addDatabase(c, &database)
	return c
}
