package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"cloche/internal/panel"
	"cloche/internal/store"
)

func newLogCommand() *cobra.Command {
	var database, study, noted string
	var lines bool
	c := &cobra.Command{
		Use:   "log",
		Short: "Check that no line of a log was changed, taken out or moved",
		Long: "Log checks the service’s log and that of each study: every entry holds a SHA-256 of the one\n" +
			"before, and beside each log stands how far it goes. It names each place that does not fit, and\n" +
			"prints for each log its last entry as NUMBER:HASH. Note these somewhere else: who can write to the\n" +
			"database can make a whole log anew, and that shows only with --noted. It may run beside the service\n" +
			"and changes nothing. Exit code 1 when something does not fit.\n\n" +
			"With --lines it prints one log instead: columns parted by tabs, which are the hash of the entry\n" +
			"before, number, moment (UTC), study, who, what, detail, hash. The last column is the SHA-256 of the\n" +
			"text before the tab in front of it, so anyone can check it.",
		Example: "  cloche log --database cloche.db\n  cloche log --study STUDY --lines > log.txt",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return withStore(cmd, database, func(s *store.Store) error {
				if err := s.MustBeCurrent(cmd.Context()); err != nil {
					return err
				}
				if !lines && study == "" && noted == "" {
					return tellLogs(cmd, s)
				}
				found, err := panel.CheckLog(cmd.Context(), s, panel.StudyID(study))
				if err != nil {
					return err
				}
				if lines {
					_, err := io.WriteString(cmd.OutOrStdout(), found.Text())
					return err
				}
				if noted != "" {
					end, err := panel.ParseLogEnd(noted)
					if err != nil {
						return fmt.Errorf("--noted: %w", err)
					}
					if fault := end.FaultIn(found.Entries); fault.Text != "" {
						found.Faults = append(found.Faults, fault)
					}
				}
				return tellLog(cmd.OutOrStdout(), found)
			})
		},
	}
	addDatabase(c, &database)
	c.Flags().StringVar(&study, "study", "", "id of the study whose log it is (nothing: the service’s log)")
	c.Flags().StringVar(&noted, "noted", "", "an end that was noted before, as NUMBER:HASH")
	c.Flags().BoolVar(&lines, "lines", false, "print the entries")
	return c
}

func tellLogs(cmd *cobra.Command, s *store.Store) error {
	var bad error
	err := panel.CheckLogs(cmd.Context(), s, func(found panel.CheckedLog) {
		bad = errors.Join(bad, tellLog(cmd.OutOrStdout(), found))
	})
	return errors.Join(err, bad)
}

// tellLog writes what was found in a log; [errCheckFailed] when it is not whole.
func tellLog(w io.Writer, found panel.CheckedLog) error {
	for _, fault := range found.Faults {
		fmt.Fprintf(w, "WRONG  %s: %s\n", nameOfLog(found.StudyID), fault)
	}
	if len(found.Faults) > 0 {
		return errCheckFailed
	}
	end := "no entries"
	if found.End.Number > 0 {
		end = "whole up to " + found.End.String()
	}
	fmt.Fprintf(w, "well   %s: %s\n", nameOfLog(found.StudyID), end)
	return nil
}

func nameOfLog(id panel.StudyID) string {
	if id == "" {
		return "the service’s log"
	}
	return "log of study " + string(id)
}

// checkLogs looks at every log for what was changed in it.
func checkLogs(ctx context.Context, s *store.Store) checkup {
	entries, logs, faults := 0, 0, []string(nil)
	err := panel.CheckLogs(ctx, s, func(found panel.CheckedLog) {
		logs, entries = logs+1, entries+len(found.Entries)
		for _, fault := range found.Faults {
			faults = append(faults, nameOfLog(found.StudyID)+": "+fault.String())
		}
	})
	switch {
	case err != nil:
		return checkup{"log", err.Error(), "try again; if it goes on, restore a backup", true}
	case len(faults) > 0:
		more := ""
		if len(faults) > 1 {
			more = fmt.Sprintf(", and %d more", len(faults)-1)
		}
		return checkup{"log", faults[0] + more, "“cloche log” lists all; compare with a backup to see what stood there",
			true}
	}
	return checkup{what: "log", found: fmt.Sprintf("%d entries in %d logs, each fits the one before it", entries, logs)}
}
