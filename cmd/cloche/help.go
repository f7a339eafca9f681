package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"cloche/internal/help"
)

// newHelpCommand prints a help page, or what there is; of a command it prints the
// command's own help.
func newHelpCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "help [TOPIC|COMMAND]",
		Short: "Print a help page: chef, partner, kitchen, floor, operator or words",
		Long: "Prints one of the help pages that lead and partner have under “Help”, as text. Without a topic\n" +
			"it lists them. The name of a command prints that command’s own help.",
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return listTopics(cmd)
			}
			topic, ok, err := help.Find(args[0])
			if err != nil {
				return err
			}
			if ok {
				_, err := fmt.Fprintln(cmd.OutOrStdout(), strings.TrimSpace(topic.Text))
				return err
			}
			of, _, err := cmd.Root().Find(args)
			if err != nil || of == cmd.Root() {
				return fmt.Errorf("there is no help on %q; “cloche help” lists what there is", args[0])
			}
			return of.Help()
		},
	}
}

func listTopics(cmd *cobra.Command) error {
	all, err := help.Topics()
	if err != nil {
		return err
	}
	out := cmd.OutOrStdout()
	for _, t := range all {
		if _, err := fmt.Fprintf(out, "cloche help %-9s %s\n", t.ID, t.Title); err != nil {
			return err
		}
	}
	_, err = fmt.Fprintln(out, "cloche COMMAND --help says what a command does; cloche --help lists them.")
	return err
}
