package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"cloche/internal/datapackage"
	"cloche/internal/panel"
	"cloche/internal/server/desk"
)

func newExportCommand() *cobra.Command {
	var database, out string
	var said datapackage.Publication
	c := &cobra.Command{
		Use:   "export STUDY",
		Short: "Write the data package of a closed study",
		Long: "Export writes a folder with all that was collected in a closed study: tidy tables\n" +
			"with a codebook, the study and its serving plan as they were locked, the findings,\n" +
			"the report as a page, the log, and a description for programs (Data Package, version 1). STUDY is " +
			"the id\n" +
			"at the end of the study's address, or its title. A study that is not closed is\n" +
			"refused: the blind holds until the last rating is in.",
		Example: `  cloche export "Does its name change how salty a celeriac custard tastes?" --out package`,
		Args: func(cmd *cobra.Command, args []string) error {
			if err := cobra.ExactArgs(1)(cmd, args); err != nil || out != "" {
				return err
			}
			return errors.New("write --out with the folder to make")
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return withService(cmd, database, func(svc *panel.Service) error {
				d, err := packageOf(cmd.Context(), svc, args[0], said)
				if err != nil {
					return err
				}
				n, err := writeFolder(out, d)
				if err != nil {
					return err
				}
				fmt.Fprintf(cmd.OutOrStdout(), "Wrote %d files of “%s” into %s. Begin with README.txt.\n", n,
					d.Study.Spec.Title, out)
				return nil
			})
		},
	}
	c.Flags().StringVar(&out, "out", "", "folder to write; it must not exist yet, or be empty")
	c.Flags().StringArrayVar(&said.Authors, "author", nil, "who is to be cited; once for each")
	c.Flags().StringVar(&said.Licence, "licence", "", "licence of the data: CC-BY-4.0, CC-BY-SA-4.0 or CC0-1.0")
	c.Flags().StringVar(&said.Ethics, "ethics", "", "who approved of the study, and the number of the approval")
	c.Flags().StringVar(&said.Registered, "registered", "", "where the plan was registered")
	addDatabase(c, &database)
	return c
}

// packageOf collects the data package of a study that is named by id or title.
func packageOf(ctx context.Context, svc *panel.Service, named string,
	said datapackage.Publication) (datapackage.Data, error) {
	var none datapackage.Data
	said, err := said.Tidied()
	if err != nil {
		return none, fmt.Errorf("--licence: %w; write CC-BY-4.0, CC-BY-SA-4.0 or CC0-1.0", err)
	}
	all, err := svc.Studies(ctx)
	if err != nil {
		return none, err
	}
	stored, err := pick(all, named)
	if err != nil {
		return none, err
	}
	d, err := desk.Collect(ctx, svc, stored.ID, time.Now())
	if err != nil {
		return none, fmt.Errorf("study %s: %w", stored.ID, err)
	}
	d.Publication = said
	return d, nil
}

// pick finds a study that is closed by its id or title.
func pick(all []panel.Study, named string) (panel.Study, error) {
	var found []panel.Study
	for _, x := range all {
		if string(x.ID) == named {
			found = []panel.Study{x}
			break
		}
		if strings.EqualFold(x.Spec.Title, named) {
			found = append(found, x)
		}
	}
	var closed []panel.Study
	for _, x := range found {
		if x.State == panel.Closed {
			closed = append(closed, x)
		}
	}
	switch {
	case len(found) == 0:
		return panel.Study{}, fmt.Errorf("there is no study with the id or title %q; the id stands at the end of the "+
			"study's address", named)
	case len(closed) == 0:
		return panel.Study{}, fmt.Errorf("study %s is %s: %w; close it first", found[0].ID, found[0].State,
			datapackage.ErrNotClosed)
	case len(closed) > 1:
		ids := make([]string, len(closed))
		for i, x := range closed {
			ids[i] = string(x.ID) + " (closed " + x.ClosedAt.In(x.Zone()).Format("2006-01-02 15:04 -07:00") + ")"
		}
		return panel.Study{}, fmt.Errorf("%d closed studies have this title; name one by its id: %s", len(closed),
			strings.Join(ids, ", "))
	}
	return closed[0], nil
}

// writeFolder writes a data package into a new folder, which gets its name once it is whole,
// and counts its files. Its owner alone can read them.
func writeFolder(out string, d datapackage.Data) (files int, err error) {
	out = filepath.Clean(out)
	switch entries, err := os.ReadDir(out); {
	case err == nil && len(entries) > 0:
		return 0, fmt.Errorf("the folder %s holds something already; name a new one", out)
	case err != nil && !errors.Is(err, os.ErrNotExist):
		return 0, fmt.Errorf("--out: %w; name a folder that does not exist yet", err)
	}
	half, err := os.MkdirTemp(filepath.Dir(out), ".export-")
	if err != nil {
		return 0, fmt.Errorf("--out: %w; make the folder above it first", err)
	}
	defer os.RemoveAll(half)
	err = datapackage.Write(d, func(f datapackage.File) error {
		files++
		return os.WriteFile(filepath.Join(half, f.Name), f.Bytes, 0o600)
	})
	if err != nil {
		return 0, fmt.Errorf("study %s: %w", d.Study.ID, err)
	}
	return files, os.Rename(half, out)
}
