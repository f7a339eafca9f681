package main

import (
	"bufio"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// newAnalyseCommand makes “cloche analyse”: a study file and its ratings in,
// the findings out.
func newAnalyseCommand() *cobra.Command {
	var format, key, expected, screening string
	c := &cobra.Command{
		Use:   "analyse STUDY.yaml RATINGS.csv",
		Short: "Find what the ratings of a study say",
		Long: "Analyse compares the samples of a study as its analysis plan says.\n\n" +
			"RATINGS.csv has the columns assessor,turn,position,code,dish,name,attribute,value (turn and\n" +
			"code may be missing), one rating a row. With --key, every rating must belong to a serving of it.\n" +
			"With --expected, a file with the columns assessor,name,attribute,value says what was\n" +
			"expected of names before any tasting; it is compared with the ratings as exploration.\n" +
			"With --screening, a file with the columns assessor,question,answer says what assessors\n" +
			"answered before their first plate; whoever the study's rule leaves out is left out.",
		Example: "  cloche analyse studies/celeriac-custard.yaml studies/celeriac-custard-ratings.csv\n" +
			"  cloche analyse --format html study.yaml ratings.csv > report.html",
		Args: func(cmd *cobra.Command, args []string) error {
			if err := cobra.ExactArgs(2)(cmd, args); err != nil {
				return err
			}
			return checkFormat(format, "text", "json", "html")
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			files := analyseFiles{study: args[0], ratings: args[1], key: key, expected: expected, screening: screening}
			return runAnalyse(cmd.OutOrStdout(), cmd.ErrOrStderr(), files, format)
		},
	}
	c.Flags().StringVar(&format, "format", "text", "text, json or html (one file with its figures inside)")
	c.Flags().StringVar(&key, "key", "", "the key of the serving plan, as CSV: assessor,position,code,dish,name")
	c.Flags().StringVar(&expected, "expected", "",
		"what was expected of names before tasting, as CSV: assessor,name,attribute,value")
	c.Flags().StringVar(&screening, "screening", "",
		"what was answered before the first plate, as CSV: assessor,question,answer")
	return c
}

// checkFormat says which formats there are when this is none of them.
func checkFormat(format string, known ...string) error {
	for _, k := range known {
		if format == k {
			return nil
		}
	}
	return fmt.Errorf("there is no format %q; write --format with one of %v", format, known)
}

type analyseFiles struct{ study, ratings, key, expected, screening string } // the last three "" = none

func runAnalyse(out, remarks io.Writer, files analyseFiles, format string) error {
	s, ratings, expected, err := readAnalyseFiles(remarks, files)
	if err != nil {
		return err
	}
	screened, err := readScreening(remarks, files.screening, s)
	if err != nil {
		return err
	}
	r, err := analysis.Analyse(s, ratings, analysis.Options{Expected: expected, Screened: screened})
	if err != nil {
		return fmt.Errorf("analyse %s: %w", files.ratings, err)
	}
	buffered := bufio.NewWriter(out)
	switch format {
	case "json":
		err = report.WriteJSON(buffered, s, r)
	case "html":
		page := report.Build(s, r, report.Options{})
		if page.FiguresMissing != "" {
			fmt.Fprintln(remarks, page.FiguresMissing)
		}
		err = report.WriteHTML(buffered, page)
	default:
		err = report.WriteText(buffered, s, r)
	}
	if err != nil {
		return fmt.Errorf("write the findings: %w", err)
	}
	return buffered.Flush()
}

// readAnalyseFiles reads the study, the key when there is one, the ratings and what
// was expected, and prints every mistake of the first file that has any.
func readAnalyseFiles(remarks io.Writer, files analyseFiles) (*study.Study, []analysis.Rating, []analysis.Expectation,
	error) {
	src, err := os.ReadFile(files.study)
	if err != nil {
		return nil, nil, nil, err
	}
	s, problems := study.Parse(files.study, src)
	if len(problems) > 0 {
		return nil, nil, nil, printProblems(remarks, problems)
	}
	if !analysis.Finds(s.Question) { // else every row would be refused for an attribute that the study lacks
		return nil, nil, nil, fmt.Errorf("%s: %w: %s", files.study, analysis.ErrNoAnalysis, s.Question)
	}
	key, err := readKey(remarks, files.key, s)
	if err != nil {
		return nil, nil, nil, err
	}
	in, err := os.Open(files.ratings)
	if err != nil {
		return nil, nil, nil, err
	}
	defer in.Close()
	ratings, problems := analysis.ReadCSV(files.ratings, in, s, key)
	if len(problems) > 0 {
		return nil, nil, nil, printProblems(remarks, problems)
	}
	expected, err := readExpected(remarks, files.expected, s, key)
	return s, ratings, expected, err
}

// readExpected reads what was expected; nil when no file is given.
func readExpected(remarks io.Writer, file string, s *study.Study, key *analysis.Key) ([]analysis.Expectation, error) {
	if file == "" {
		return nil, nil
	}
	in, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	expected, problems := analysis.ReadExpectedCSV(file, in, s, key)
	if len(problems) > 0 {
		return nil, printProblems(remarks, problems)
	}
	return expected, nil
}

// readScreening reads the answers before the first plate; nil when no file is given.
func readScreening(remarks io.Writer, file string, s *study.Study) ([]analysis.Screened, error) {
	if file == "" {
		return nil, nil
	}
	in, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	said, problems := analysis.ReadScreeningCSV(file, in, s)
	if len(problems) > 0 {
		return nil, printProblems(remarks, problems)
	}
	return said, nil
}

// readKey reads the key; nil when no file is given.
func readKey(remarks io.Writer, file string, s *study.Study) (*analysis.Key, error) {
	if file == "" {
		return nil, nil
	}
	in, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	key, problems := analysis.ReadKey(file, in, s)
	if len(problems) > 0 {
		return nil, printProblems(remarks, problems)
	}
	return key, nil
}

// printProblems prints mistakes one a line and returns the error for them.
func printProblems(w io.Writer, problems []study.Problem) error {
	for _, p := range problems {
		fmt.Fprintln(w, p.Error())
	}
	return errCheckFailed
}
