package main

import (
	"fmt"
	"strings"

	"cloche/internal/verify"

	"github.com/spf13/cobra"
)

// newVerifyCommand recomputes reference values and prints each against its
// source.
func newVerifyCommand() *cobra.Command {
	format := verifyFormat("text")
	cmd := &cobra.Command{
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
			write := verify.WriteText
			if format == "json" {
				write = verify.WriteJSON
			}
			if err := write(cmd.OutOrStdout(), reports); err != nil {
				return err
			}
			if _, failed := verify.Totals(reports); failed > 0 {
				return errCheckFailed
			}
			return nil
		},
	}
	cmd.Flags().Var(&format, "format", "text or json")
	return cmd
}

// verifyFormat is the form of the output; another word is a mistake of the
// command line.
type verifyFormat string

func (f *verifyFormat) String() string { return string(*f) }

// Type names the flag's value in the help.
func (f *verifyFormat) Type() string { return "FORMAT" }

// Set accepts text and json.
func (f *verifyFormat) Set(s string) error {
	switch s = strings.ToLower(s); s {
	case "text", "json":
		*f = verifyFormat(s)
		return nil
	}
	return fmt.Errorf("write text or json")
}
