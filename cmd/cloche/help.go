package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"cloche/internal/help"
	"cloche/internal/study"
)

// newHelpCommand prints a help page, or what there is; of a command it prints the
// command's own help.
func newHelpCommand() *cobra.Command {
	lang := ""
	cmd := &cobra.Command{
		Use:   "help [TOPIC|COMMAND]",
		Short: "Print a help page: chef, partner, kitchen, floor, operator or words",
		Long: "Prints one of the help pages that lead and partner have under “Help”, as text. Without a topic\n" +
			"it lists them. The name of a command prints that command’s own help, in English.",
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(study.Spoken, lang) {
				return fmt.Errorf("there are no help pages in %q; write --language with one of %v", lang, study.Spoken)
			}
			if len(args) == 0 {
				return listTopics(cmd, lang)
			}
			topic, ok, err := help.Find(lang, args[0])
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
	cmd.Flags().StringVar(&lang, "language", "en", "of the help pages: "+strings.Join(study.Spoken, ", "))
	return cmd
}

func listTopics(cmd *cobra.Command, lang string) error {
	all, err := help.Topics(lang)
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
