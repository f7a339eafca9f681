package main

import (
	"cloche/internal/verify"

	"github.com/spf13/cobra"
)

// newVerifyCommand recomputes reference values and prints each against its
// source.
func newVerifyCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "verify REFERENCE.json…",
		Short: "Recompute published and reference values, and print each against its source",
		Long: "Recomputes every entry of reference files with the methods that cloche itself uses, and prints\n" +
			"for each its source, the values compared and the largest difference. Data files are found beside\n" +
			"the reference file. Exit status 1 when any value differs by more than its tolerance.",
		Args: cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, files []string) error {
			var reports []verify.FileReport
			for _, file := range files {
				reports = append(reports, verify.File(file))
			}
			if err := verify.WriteText(cmd.OutOrStdout(), reports); err != nil {
				return err
			}
			if _, failed := verify.Totals(reports...); failed > 0 {
				return errCheckFailed
			}
			return nil
		},
	}
}
