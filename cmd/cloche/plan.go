package main

import (
	"bufio"
	"crypto/rand"
	"encoding/binary"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"cloche/internal/design"
	"cloche/internal/study"
)

// planFlags are the flags of “cloche plan”.
type planFlags struct {
	seed      uint64
	hasSeed   bool
	assessors int
	arrivals  string // file of what was dealt on arrival; "" = none
	view      string
	format    string
}

// newPlanCommand makes “cloche plan”: a study file in, its serving plan out.
func newPlanCommand() *cobra.Command {
	var f planFlags
	c := &cobra.Command{
		Use:   "plan STUDY.yaml",
		Short: "Draw the serving plan of a study",
		Long: "Plan draws what is served to whom, in which order, under which code.\n\n" +
			"The same study and seed always give the same plan. The seed is that of --seed, or of\n" +
			"the study; without either one is drawn and printed on standard error.\n\n" +
			"With --arrivals, a file with the columns arrival,assessor,combination,sample says who arrived\n" +
			"in which order, in which stratum, and what was dealt to them (dealt.csv of a data package):\n" +
			"it is dealt again from the seed, and the plan holds it; a difference is told, with exit 1.\n\n" +
			"  --for key      which sample is behind each code; keep it from everybody who tastes or serves\n" +
			"  --for kitchen  what to plate under which code, wave by wave; without names\n" +
			"  --for floor    which code to which assessor and what to call it; without dishes\n" +
			"  --for balance  how even the plan is, and portions for the kitchen",
		Example: "  cloche plan studies/celeriac-custard.yaml --seed 20261125 > key.csv\n" +
			"  cloche plan studies/celeriac-custard.yaml --for kitchen --format text\n" +
			"  cloche plan studies/celeriac-custard.yaml --for balance --format text",
		Args: func(cmd *cobra.Command, args []string) error {
			if err := cobra.ExactArgs(1)(cmd, args); err != nil {
				return err
			}
			f.hasSeed = cmd.Flags().Changed("seed")
			if cmd.Flags().Changed("assessors") && f.assessors < 1 {
				return fmt.Errorf("--assessors is %d; write 1 or more", f.assessors)
			}
			if _, ok := planViews[f.view]; !ok {
				return fmt.Errorf("there is no view %q; write --for with key, kitchen, floor or balance", f.view)
			}
			return checkFormat(f.format, "csv", "json", "text")
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return runPlan(cmd.OutOrStdout(), cmd.ErrOrStderr(), args[0], f)
		},
	}
	c.Flags().Uint64Var(&f.seed, "seed", 0, "seed of the draw (default: that of the study)")
	c.Flags().IntVar(&f.assessors, "assessors", 0, "places in the plan (default: those of the study)")
	c.Flags().StringVar(&f.arrivals, "arrivals", "", "what was dealt on arrival, to deal it again")
	c.Flags().StringVar(&f.view, "for", "key", "key, kitchen, floor or balance")
	c.Flags().StringVar(&f.format, "format", "csv", "csv, json or text")
	return c
}

func runPlan(out, remarks io.Writer, file string, f planFlags) error {
	src, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	s, problems := study.Parse(file, src)
	if len(problems) > 0 {
		return printProblems(remarks, problems)
	}
	seed, err := seedOf(remarks, s, f)
	if err != nil {
		return err
	}
	p, err := design.Draw(s, design.Options{Seed: seed, Assessors: f.assessors, OnArrival: f.arrivals != ""})
	if err != nil {
		return fmt.Errorf("%s: %w", file, err)
	}
	if f.arrivals != "" {
		if p, err = dealAgain(s, p, f.arrivals); err != nil {
			return err
		}
	}
	for _, w := range p.Warnings {
		fmt.Fprintf(remarks, "note (%s): %s\n", w.Code, w.Text)
	}
	v, err := planViews[f.view](s, p)
	if err != nil {
		return err
	}
	buffered := bufio.NewWriter(out)
	if err := v.write(buffered, f.format); err != nil {
		return fmt.Errorf("write the plan: %w", err)
	}
	return buffered.Flush()
}

// seedOf is the seed that was asked for, else the study's, else one drawn now
// and told, so that the plan can be drawn again.
func seedOf(remarks io.Writer, s *study.Study, f planFlags) (uint64, error) {
	if f.hasSeed {
		return f.seed, nil
	}
	if s.Serving.HasSeed {
		return s.Serving.Seed, nil
	}
	var b [8]byte
	if _, err := rand.Read(b[:]); err != nil {
		return 0, fmt.Errorf("draw a seed: %w", err)
	}
	// 53 bits, so that programs that keep numbers as doubles read it exactly.
	seed := binary.BigEndian.Uint64(b[:]) >> 11
	fmt.Fprintf(remarks, "The study has no seed. This one was drawn: %d. To draw the same plan again, write "+
		"--seed %d.\n", seed, seed)
	return seed, nil
}
