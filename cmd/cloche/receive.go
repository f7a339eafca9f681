package main

import (
	"archive/zip"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"cloche/internal/datapackage"
	"cloche/internal/panel"
	"cloche/internal/server/desk"
	"cloche/internal/store"
)

// newReceiveCommand takes a study with its whole record from another service.
func newReceiveCommand() *cobra.Command {
	var database string
	c := &cobra.Command{
		Use:   "receive PACKAGE",
		Short: "Take a closed study with its whole record from another service",
		Long: "Takes a closed study with its whole record by the data package of another service: the ZIP file, or\n" +
			"the folder that “cloche export” wrote. Every file is held to its SHA-256, study and plan to what\n" +
			"was locked. The study is first taken into a database of its own and its package made anew there:\n" +
			"what was recorded has to come out the same, byte for byte. Only then it is taken, all or nothing.\n" +
			"A study that is there already is refused. Links of guests and staff, and where guests sat, are not\n" +
			"in a package.",
		Example: `  cloche receive package.zip --database other.db`,
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			files, done, err := openPackage(args[0])
			if err != nil {
				return err
			}
			defer done()
			m, err := datapackage.Moving(files)
			if err != nil {
				return fmt.Errorf("%s: %w", args[0], err)
			}
			return withService(cmd, database, func(svc *panel.Service) error {
				return receive(cmd.Context(), svc, m, cmd.OutOrStdout())
			})
		},
	}
	addDatabase(c, &database)
	return c
}

// openPackage opens a ZIP file or a folder.
func openPackage(name string) (files fs.FS, done func(), err error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, nil, fmt.Errorf("%w; name the ZIP file of a data package, or its folder", err)
	}
	if info.IsDir() {
		return os.DirFS(name), func() {}, nil
	}
	z, err := zip.OpenReader(name)
	if err != nil {
		return nil, nil, fmt.Errorf("%s is no ZIP file (%w); name the ZIP file of a data package, or its folder", name,
			err)
	}
	return z, func() { z.Close() }, nil
}

// receive tries a study out and then takes it.
func receive(ctx context.Context, svc *panel.Service, m datapackage.Move, out io.Writer) error {
	switch _, err := svc.Study(ctx, m.ID); {
	case err == nil:
		return fmt.Errorf("%w: “%s”, study %s; nothing was taken", panel.ErrThere, m.Title, m.ID)
	case !errors.Is(err, panel.ErrNotFound):
		return err
	}
	same, worded, err := tryOut(ctx, m)
	if err != nil {
		return fmt.Errorf("%w; nothing was taken", err)
	}
	if err := svc.TakeWhole(ctx, panel.Session{Role: panel.RoleLead}, m.ID, m.Lines); err != nil {
		return fmt.Errorf("%w; nothing was taken", err)
	}
	fmt.Fprintf(out, "Received “%s”, study %s. %d files of its package come out the same here, byte for byte.\n",
		m.Title, m.ID, same)
	if len(worded) > 0 {
		fmt.Fprintf(out, "These come out otherwise, as another release words or reckons them: %s.\n",
			strings.Join(worded, ", "))
	}
	fmt.Fprintln(out, "Left behind: links of guests and staff, where guests sat, and what phones sent word for word.")
	return nil
}

// tryOut takes a study into a database of its own, makes its package anew and holds it to the
// one that came.
func tryOut(ctx context.Context, m datapackage.Move) (same int, worded []string, err error) {
	dir, err := os.MkdirTemp("", "cloche-receive-")
	if err != nil {
		return 0, nil, err
	}
	defer os.RemoveAll(dir)
	kept, err := store.Open(ctx, filepath.Join(dir, "tried.db"))
	if err != nil {
		return 0, nil, err
	}
	defer func() { err = errors.Join(err, kept.Close()) }()
	svc, err := panel.New(ctx, kept, panel.Options{})
	if err != nil {
		return 0, nil, err
	}
	if err := svc.TakeWhole(ctx, panel.Session{Role: panel.RoleLead}, m.ID, m.Lines); err != nil {
		return 0, nil, err
	}
	d, err := desk.Collect(ctx, svc, m.ID, time.Now())
	if err != nil {
		return 0, nil, err
	}
	same, record, worded, err := m.Again(d)
	if err == nil && len(record) > 0 {
		err = fmt.Errorf("what was recorded comes out otherwise than the package says, in %s; export it again on the "+
			"service that it comes from", strings.Join(record, ", "))
	}
	return same, worded, err
}
