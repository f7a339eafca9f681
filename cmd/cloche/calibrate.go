package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strconv"
	"sync/atomic"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"cloche/internal/calibrate"
	"cloche/internal/study"
)

const (
	usualStudies = 2_000
	mostStudies  = 1_000_000
)

// calibrateFlags are the flags of “cloche calibrate”.
type calibrateFlags struct {
	studies int
	seed    uint64
	format  string
}

// newCalibrateCommand makes “cloche calibrate”: how often the analysis finds something
// where nothing is.
func newCalibrateCommand() *cobra.Command {
	var f calibrateFlags
	c := &cobra.Command{
		Use:   "calibrate [STUDY.yaml…]",
		Short: "Simulate studies in which nothing differs, and say how often the analysis finds something",
		Long: "Calibrate simulates studies whose samples are all alike, each with a serving plan, a panel and\n" +
			"scales, runs the whole analysis on each, and says how often the primary finding and any of the\n" +
			"others find something, and how often intervals hold the truth: beside what is stated, with the\n" +
			"interval that so few simulated studies leave open. Of a plan that asks whether samples are\n" +
			"practically the same, they differ by just the smallest effect. Where a name is laid on amounts,\n" +
			"ratings rise with these, and each study is played once more with a name that is worth something;\n" +
			"so is each whose names are read, with one that goes none, half or all of the way that it\n" +
			"promises. Where tasting may stop early, each is played once more with samples that differ. Two\n" +
			"samples that everybody rates once on a line are played on four evenings more, which truly\n" +
			"differ, for the record of a house.\n\n" +
			"With study files it does so for their plans, without for a small study of every kind of plan.\n" +
			"Exit status 1 when a rate is off by more than four standard errors.",
		Example: "  cloche calibrate --studies 10000\n  cloche calibrate studies/celeriac-custard.yaml",
		Args: func(*cobra.Command, []string) error {
			if f.studies < 1 || f.studies > mostStudies {
				return fmt.Errorf("--studies is %d; write a number from 1 to %d", f.studies, mostStudies)
			}
			return checkFormat(f.format, "text", "json")
		},
		RunE: func(cmd *cobra.Command, files []string) error {
			return runCalibrate(cmd.OutOrStdout(), cmd.ErrOrStderr(), files, f)
		},
	}
	c.Flags().IntVar(&f.studies, "studies", usualStudies, "studies to simulate of each plan")
	c.Flags().Uint64Var(&f.seed, "seed", 1, "the same seed gives the same answer")
	c.Flags().StringVar(&f.format, "format", "text", "text or json")
	return c
}

// calibrated are the rates of one plan.
type calibrated struct {
	name  string
	rates []calibrate.Rate
}

func runCalibrate(out, remarks io.Writer, files []string, f calibrateFlags) error {
	kinds, err := kindsOf(remarks, files)
	if err != nil {
		return err
	}
	var all []calibrated
	kept := true
	for i, k := range kinds {
		var done atomic.Int64
		rates, err := calibrate.Run(k.Study, f.studies, f.seed, func(n int) {
			now := done.Add(int64(n))
			if tenth := int64(max(1, f.studies/10)); now/tenth > (now-int64(n))/tenth {
				fmt.Fprintf(remarks, "\r%d of %d: %s, %d %% ", i+1, len(kinds), k.Name, 100*now/int64(f.studies))
			}
		})
		fmt.Fprintln(remarks)
		if err != nil {
			return fmt.Errorf("%s: %w", k.Name, err)
		}
		for _, r := range rates {
			kept = kept && r.Kept()
		}
		all = append(all, calibrated{k.Name, rates})
	}
	buffered := bufio.NewWriter(out)
	write := writeCalibrated
	if f.format == "json" {
		write = writeCalibratedJSON
	}
	if err := write(buffered, all, f); err != nil {
		return err
	}
	if err := buffered.Flush(); err != nil {
		return err
	}
	if !kept {
		return errCheckFailed
	}
	return nil
}

// kindsOf are the studies of the files, or one of every kind.
func kindsOf(remarks io.Writer, files []string) ([]calibrate.Kind, error) {
	if len(files) == 0 {
		return calibrate.Kinds()
	}
	var kinds []calibrate.Kind
	for _, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		s, problems := study.Parse(file, src)
		if len(problems) > 0 {
			return nil, printProblems(remarks, problems)
		}
		kinds = append(kinds, calibrate.Kind{Name: s.Title, Study: s})
	}
	return kinds, nil
}

func writeCalibrated(w io.Writer, all []calibrated, f calibrateFlags) error {
	fmt.Fprintf(w, "%d simulated studies of each plan, seed %d. In brackets: what so few leave open (95 %%).\n",
		f.studies, f.seed)
	percent := func(p float64) string { return strconv.FormatFloat(100*p, 'f', 1, 64) }
	for _, c := range all {
		fmt.Fprintf(w, "\n%s\n", c.name)
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		for _, r := range c.rates {
			stated, verdict := percent(r.Stated)+" %", "kept"
			switch {
			case r.AtMost && r.OfInterval:
				stated = "at least " + stated
			case r.AtMost:
				stated = "at most " + stated
			}
			if !r.Kept() {
				verdict = "NOT KEPT"
			}
			ci := r.CI()
			fmt.Fprintf(t, "  %s\tstated %s\tfound %s %%\t(%s to %s)\t%s\n", r.What, stated, percent(r.Share()),
				percent(ci.Lo), percent(ci.Hi), verdict)
		}
		if err := t.Flush(); err != nil {
			return err
		}
	}
	return nil
}

type calibratedJSON struct {
	Plan  string     `json:"plan"`
	Rates []rateJSON `json:"rates"`
}

type rateJSON struct {
	What   string     `json:"what"`
	Stated float64    `json:"stated"`
	AtMost bool       `json:"results_go_in_steps"` // a test may then err less often, an interval hold more often
	Hits   int        `json:"hits"`
	Of     int        `json:"of"`
	Share  *float64   `json:"share"`
	CI     [2]float64 `json:"ci"`
	Kept   bool       `json:"kept"`
}

func writeCalibratedJSON(w io.Writer, all []calibrated, _ calibrateFlags) error {
	list := []calibratedJSON{}
	for _, c := range all {
		x := calibratedJSON{Plan: c.name, Rates: []rateJSON{}}
		for _, r := range c.rates {
			ci := r.CI()
			x.Rates = append(x.Rates, rateJSON{r.What, r.Stated, r.AtMost, r.Hits, r.Of, orNull(r.Share()),
				[2]float64{ci.Lo, ci.Hi}, r.Kept()})
		}
		list = append(list, x)
	}
	to := json.NewEncoder(w)
	to.SetIndent("", "  ")
	to.SetEscapeHTML(false)
	return to.Encode(list)
}
