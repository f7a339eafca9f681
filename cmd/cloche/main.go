// Command cloche designs blind tastings, runs them on phones and analyses them.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"

	"cloche/internal/server/summary"
)

// Exit codes (see the help page on commands).
const (
	exitDone  = 0
	exitInput = 1 // the input is wrong or a check failed
	exitUsage = 2 // the command line is wrong
)

func main() {
	signals := []os.Signal{os.Interrupt, syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) { // a closed terminal stops the program, unless nohup asked it to go on
		signals = append(signals, syscall.SIGHUP)
	}
	ctx, stop := signal.NotifyContext(context.Background(), signals...)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// errCheckFailed is returned by a command that has already said what is wrong.
var errCheckFailed = errors.New("check failed")

// run runs the command line and returns the exit code. Results go to stdout,
// remarks and errors to stderr.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	begun := false
	root := newRoot(&begun)
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	switch {
	case err == nil:
		return exitDone
	case !begun:
		fmt.Fprintf(stderr, "cloche: %v\nSee “cloche --help”.\n", err)
		return exitUsage
	case !errors.Is(err, errCheckFailed):
		fmt.Fprintf(stderr, "cloche: %v\n", err)
	}
	return exitInput
}

// newRoot returns the root command; *begun is set once a subcommand's command
// line was accepted, so that every error before it is one of usage.
func newRoot(begun *bool) *cobra.Command {
	root := &cobra.Command{
		Use:   "cloche",
		Short: "Blind tastings: designed, run on phones, analysed",
		Long: "Cloche designs blind tastings, runs them on phones during service, and analyses them.\n" +
			"Try “cloche demo”.",
		Version:       summary.Software(),
		SilenceErrors: true,
		SilenceUsage:  true,
		PersistentPreRun: func(*cobra.Command, []string) {
			*begun = true
		},
	}
	root.SetVersionTemplate("{{.Version}}\n")
	root.CompletionOptions.DisableDefaultCmd = true
	root.SetHelpCommand(newHelpCommand())
	root.AddCommand(newAnalyseCommand(), newBackupCommand(), newCalibrateCommand(), newCheckCommand(), newDemoCommand(),
		newDoctorCommand(), newExportCommand(), newLogCommand(), newMigrateCommand(), newPlanCommand(),
		newPasswordCommand(), newPowerCommand(), newReceiveCommand(), newRestoreCommand(), newSchemaCommand(),
		newServeCommand(), newVerifyCommand())
	return root
}
