package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// powerFlags are the flags of “cloche power”. What was not given keeps the value
// of the study, or none.
type powerFlags struct {
	analysis.Sizing
	test, sides          string
	spread               float64
	ratingSpread, linked float64
	length               float64
	samples              int
	format               string
	given                map[string]bool
}

// newPowerCommand makes “cloche power”: how many assessors a difference takes,
// and what a panel can find.
func newPowerCommand() *cobra.Command {
	var f powerFlags
	c := &cobra.Command{
		Use:   "power [STUDY.yaml]",
		Short: "Say how many assessors are needed, and what a panel can find",
		Long: "Power says how many assessors find the smallest difference worth acting on, what the\n" +
			"panel planned can find, and what both take in portions, minutes and sittings.\n\n" +
			"With a study, what the flags leave open comes from it. The spread does not: it is how\n" +
			"much an assessor's two ratings differ by chance (the standard deviation of the\n" +
			"differences). Give it from ratings of your own with --spread; without it a rule of thumb\n" +
			"stands in, and the answer says so.\n\n" +
			"Tests that are answered by choosing (" + choiceTests() + ") take a share:\n" +
			"with right answers, --share is the part of the assessors who truly taste the difference, or give\n" +
			"--distance, d′; of a preference it is the part of the answers for the one liked better.",
		Example: "  cloche power studies/celeriac-custard.yaml --spread 11\n" +
			"  cloche power --difference 5 --spread 11 --power 0.9\n" +
			"  cloche power --test triangle --sides greater --share 0.3 --format json",
		Args: func(cmd *cobra.Command, args []string) error {
			f.given = map[string]bool{}
			for _, name := range powerFlagNames {
				f.given[name] = cmd.Flags().Changed(name)
			}
			if err := cobra.MaximumNArgs(1)(cmd, args); err != nil {
				return err
			}
			return f.check(len(args) == 1)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return runPower(cmd.OutOrStdout(), cmd.ErrOrStderr(), args, f)
		},
	}
	c.Flags().StringVar(&f.test, "test", "", fmt.Sprintf("one of %v (default: that of the study, else paired-t)",
		analysis.SizedTests()))
	c.Flags().StringVar(&f.sides, "sides", "", "two, greater or less (default: those of the study, else two)")
	c.Flags().Float64Var(&f.Alpha, "alpha", 0, "level of the test (default: that of the study, else 0.05)")
	c.Flags().Float64Var(&f.Power, "power", 0, "probability wished for of finding the difference (default: 0.8)")
	c.Flags().Float64Var(&f.Difference, "difference", 0,
		"smallest difference worth acting on, in scale points (default: that of the study); for equivalence, the "+
			"margin")
	c.Flags().Float64Var(&f.spread, "spread", 0, "standard deviation of the differences within an assessor, in "+
		"scale points; of the ratings when each tastes one sample")
	c.Flags().Float64Var(&f.ratingSpread, "rating-spread", 0,
		"instead of --spread: standard deviation of one rating, in scale points")
	c.Flags().Float64Var(&f.linked, "correlation", 0, "with --rating-spread: correlation of an assessor's two "+
		"ratings (default: 0)")
	c.Flags().Float64Var(&f.length, "scale-length", 0, "without a study and a spread: length of the scale in "+
		"points, for the rule of thumb")
	c.Flags().Float64Var(&f.Share, "share", 0, "difference tests: share of assessors who truly taste the "+
		"difference, such as 0.3")
	c.Flags().Float64Var(&f.Distance, "distance", 0, "difference tests, instead of --share: the distance d′")
	c.Flags().BoolVar(&f.Alike, "alike", false, "difference tests: to show that fewer than --share taste the "+
		"difference")
	c.Flags().Float64Var(&f.Beta, "beta", 0, "with --alike: risk of saying so when just that share tastes it "+
		"(default: that of the study, else 0.05)")
	c.Flags().IntVar(&f.Assessors, "assessors", 0, "a panel to judge (default: that of the study)")
	c.Flags().IntVar(&f.samples, "samples", 3,
		"without a study, for tests of a whole panel: samples that each assessor rates")
	c.Flags().StringVar(&f.format, "format", "text", "text or json")
	return c
}

// choiceTests lists the tests that are answered by choosing.
func choiceTests() string {
	var list []string
	for _, t := range analysis.SizedTests() {
		if t.IsChoice() {
			list = append(list, string(t))
		}
	}
	return strings.Join(list, ", ")
}

var powerFlagNames = []string{"test", "sides", "alpha", "power", "difference", "spread", "rating-spread", "correlation",
	"scale-length", "share", "distance", "alike", "beta", "assessors",
	"samples"}

// check looks for what is wrong with the command line itself.
func (f powerFlags) check(withStudy bool) error {
	if err := checkFormat(f.format, "text", "json"); err != nil {
		return err
	}
	for _, x := range []struct {
		name    string
		sound   bool
		instead string
	}{
		{"test", slices.Contains(analysis.SizedTests(), analysis.SizedTest(f.test)),
			fmt.Sprintf("one of %v", analysis.SizedTests())},
		{"sides", slices.Contains([]string{"two", "greater", "less"}, f.sides), "two, greater or less"},
		{"alpha", f.Alpha > 0 && f.Alpha <= 0.5, "a number above 0 and at most 0.5"},
		{"power", f.Power > 0 && f.Power < 1, "a number between 0 and 1, such as 0.8"},
		{"difference", usable(f.Difference), "a number of scale points above 0"},
		{"spread", usable(f.spread), "a number of scale points above 0"},
		{"rating-spread", usable(f.ratingSpread), "a number of scale points above 0"},
		{"correlation", f.linked > -1 && f.linked < 1, "a number between −1 and 1"},
		{"scale-length", usable(f.length), "the highest value of the scale less the lowest, such as 100"},
		{"share", f.Share > 0 && f.Share <= 1, "a number above 0 and at most 1, such as 0.3"},
		{"beta", f.Beta > 0 && f.Beta <= 0.5, "a number above 0 and at most 0.5"},
		{"distance", usable(f.Distance), "a d′ above 0, such as 1"},
		{"assessors", f.Assessors >= 1, "1 or more"},
		{"samples", f.samples >= 3 && f.samples <= mostSamples, fmt.Sprintf("a number from 3 to %d", mostSamples)},
	} {
		if f.given[x.name] && !x.sound {
			return fmt.Errorf("--%s is no use as it stands; write %s", x.name, x.instead)
		}
	}
	return f.checkTogether(withStudy)
}

// mostSamples is more than anybody can taste.
const mostSamples = 26

func usable(v float64) bool { return v > 0 && !math.IsInf(v, 0) }

// checkTogether looks for flags that contradict each other or are missing.
func (f powerFlags) checkTogether(withStudy bool) error {
	choice := analysis.SizedTest(f.test).IsChoice()
	switch {
	case f.given["spread"] && f.given["rating-spread"]:
		return errors.New("--spread and --rating-spread are both given; write one of them")
	case f.given["share"] && f.given["distance"]:
		return errors.New("--share and --distance are both given; write one of them: each follows from the other")
	case f.given["beta"] && !f.Alike && !withStudy:
		return errors.New("--beta is the risk of calling two alike; write --alike too, or leave it out")
	case f.given["correlation"] && !f.given["rating-spread"]:
		return errors.New("--correlation goes with --rating-spread; write that too, or leave it out")
	case f.given["samples"] && withStudy:
		return errors.New("--samples is known from the study; leave it out")
	case f.given["scale-length"] && withStudy:
		return errors.New("--scale-length is known from the study; leave it out")
	case withStudy:
		return nil
	case choice && (f.given["difference"] || f.given["spread"] || f.given["rating-spread"]):
		return fmt.Errorf("a %s test knows no scale points; write --share or --distance", f.test)
	case !choice && (f.given["share"] || f.given["distance"]):
		return errors.New("--share and --distance are for difference tests; write --test with one of them, or " +
			"--difference")
	case !(f.given["difference"] || f.given["share"] || f.given["distance"] || f.given["assessors"]):
		return errors.New("there is nothing to reckon; write a STUDY.yaml, or --difference (--share for a " +
			"difference test), or --assessors")
	case !(choice || f.given["spread"] || f.given["rating-spread"] || f.given["scale-length"]):
		return errors.New("how much ratings scatter is not known; write --spread, or --scale-length for a rule of " +
			"thumb")
	}
	return nil
}

func runPower(out, remarks io.Writer, files []string, f powerFlags) error {
	var s *study.Study
	if len(files) == 1 {
		src, err := os.ReadFile(files[0])
		if err != nil {
			return err
		}
		var problems []study.Problem
		if s, problems = study.Parse(files[0], src); len(problems) > 0 {
			return printProblems(remarks, problems)
		}
	}
	answer, err := f.answer(s)
	if err != nil {
		if s != nil {
			return fmt.Errorf("%s: %w", files[0], err)
		}
		return err
	}
	buffered := bufio.NewWriter(out)
	if f.format == "json" {
		err = answer.writeJSON(buffered)
	} else {
		err = answer.writeText(buffered)
	}
	if err != nil {
		return err
	}
	return buffered.Flush()
}

// sized is what is written of a size.
type sized interface {
	writeText(w io.Writer) error
	writeJSON(w io.Writer) error
}

// powerAnswer is a size with the study it is for, if any.
type powerAnswer struct {
	study *study.Study
	size  *analysis.Size
}

func (f powerFlags) answer(s *study.Study) (sized, error) {
	if s != nil && s.Question.Kind().Ascending {
		return f.rising(s)
	}
	q, err := f.question(s)
	if err != nil {
		return nil, err
	}
	z, err := analysis.FindSize(q)
	return powerAnswer{s, z}, err
}

// question is the study's question of size, or a bare one, with what the flags say.
func (f powerFlags) question(s *study.Study) (analysis.Sizing, error) {
	q, err := f.start(s)
	if err != nil {
		return q, err
	}
	set := func(name string, to *float64, v float64) {
		if f.given[name] {
			*to = v
		}
	}
	set("alpha", &q.Alpha, f.Alpha)
	set("power", &q.Power, f.Power)
	set("difference", &q.Difference, f.Difference)
	set("share", &q.Share, f.Share)
	set("distance", &q.Distance, f.Distance)
	set("beta", &q.Beta, f.Beta)
	if f.given["alike"] {
		q.Alike = f.Alike
	}
	if f.given["sides"] {
		q.Sides = study.Sides(f.sides)
	}
	if f.given["assessors"] {
		q.Assessors = f.Assessors
	}
	switch {
	case f.given["spread"]:
		q.Spread = analysis.GivenSpread(f.spread)
	case f.given["rating-spread"]:
		q.Spread, err = analysis.SpreadOfRatings(q.Test, f.ratingSpread, f.linked)
	case !q.Test.IsChoice():
		q.Spread = analysis.RuleOfThumb(q.Test, q.Length)
	}
	return q, err
}

// start is the question before the other flags.
func (f powerFlags) start(s *study.Study) (analysis.Sizing, error) {
	test := analysis.SizedTest(f.test)
	switch {
	case s == nil:
		if !f.given["test"] {
			test = analysis.SizedTest(study.PairedT)
		}
		q := analysis.SizingWithout(test)
		q.Length = f.length
		if f.given["samples"] || test == analysis.MixedPair || study.Test(test).OfWholePanel() {
			q.Panel.Samples = f.samples
		}
		return q, nil
	case !f.given["test"]:
		return analysis.SizingOf(s)
	}
	return analysis.SizingBy(s, test)
}
