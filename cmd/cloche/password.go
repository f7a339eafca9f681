package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"cloche/internal/panel"
)

func newPasswordCommand() *cobra.Command {
	var database, of string
	c := &cobra.Command{
		Use:   "password",
		Short: "Set a new password for the owner, or another user, who has forgotten it",
		Long: "Password asks for a new password, or reads it from the first line of its input, and\n" +
			"puts it in the place of the old one. Whoever was signed in with the old one is signed\n" +
			"out, and passkeys of that user are removed. It may run while the service does.",
		Example: "  cloche password --database cloche.db",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return withService(cmd, database, func(svc *panel.Service) error { return resetPassword(cmd, svc, of) })
		},
	}
	c.Flags().StringVar(&of, "of", "", "whose: the name of a user; the owner’s when it is missing")
	addDatabase(c, &database)
	return c
}

func resetPassword(cmd *cobra.Command, svc *panel.Service, name string) error {
	password, err := readPassword(cmd.InOrStdin(), cmd.ErrOrStderr())
	if err != nil {
		return err
	}
	u, err := svc.ResetPassword(cmd.Context(), name, password)
	switch {
	case errors.Is(err, panel.ErrWeak):
		said := "nothing was changed:"
		for _, wrong := range panel.PasswordProblems(password) {
			said += " " + wrong.String()
		}
		return errors.New(said)
	case errors.Is(err, panel.ErrNotFound) && name == "":
		return errors.New("nobody has a password yet: the first one is chosen on the service’s page")
	case errors.Is(err, panel.ErrNotFound):
		return fmt.Errorf("--of %q: no user has this name; the page “People” lists them", name)
	case err != nil:
		return err
	}
	fmt.Fprintf(cmd.OutOrStdout(), "The password of %s is set. Who was signed in with the old one has to sign in "+
		"again, and passkeys have to be added anew.\n", u.Name)
	return nil
}

// readPassword asks for a password twice on a terminal, without showing it; otherwise
// it is the first line of in.
func readPassword(in io.Reader, prompt io.Writer) (string, error) {
	file, ok := in.(*os.File)
	if !ok || !term.IsTerminal(int(file.Fd())) {
		line, err := bufio.NewReader(in).ReadString('\n')
		if err != nil && !errors.Is(err, io.EOF) {
			return "", fmt.Errorf("read the password: %w", err)
		}
		return strings.TrimRight(line, "\r\n"), nil
	}
	var typed [2]string
	for i, ask := range []string{"New password: ", "The same again: "} {
		fmt.Fprint(prompt, ask)
		b, err := term.ReadPassword(int(file.Fd()))
		fmt.Fprintln(prompt)
		if err != nil {
			return "", fmt.Errorf("read the password: %w", err)
		}
		typed[i] = string(b)
	}
	if typed[0] != typed[1] {
		return "", errors.New("the two passwords differ: nothing was changed")
	}
	return typed[0], nil
}
