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
	var format, key, expected, screening, guesses string
	var assessors bool
	c := &cobra.Command{
		Use:   "analyse STUDY.yaml RATINGS.csv",
		Short: "Find what the ratings of a study say",
		Long: "Analyse compares the samples of a study as its analysis plan says.\n\n" +
			"RATINGS.csv has the columns assessor,turn,position,code,dish,name,attribute,value (turn and\n" +
			"code may be missing), one rating a row. With --key, every rating must belong to a serving of it.\n" +
			"With --expected, a file with the columns assessor,name,attribute,value says what was\n" +
			"expected of names before any tasting; it is compared with the ratings as exploration.\n" +
			"With --screening, a file with the columns assessor,question,answer says what assessors\n" +
			"answered before their first plate; whoever the study's rule leaves out is left out.\n" +
			"With --guesses, a file with the columns assessor,guess says what assessors answered after\n" +
			"their last plate: whether the blind held, and the answer without those who guessed right.\n" +
			"With --assessors, how well each assessor of a profile does and what to practise, as text, in\n" +
			"place of the findings: it names people, and is for whoever leads the panel.",
		Example: "  cloche analyse studies/celeriac-custard.yaml studies/celeriac-custard-ratings.csv\n" +
			"  cloche analyse --format html study.yaml ratings.csv > report.html",
		Args: func(cmd *cobra.Command, args []string) error {
			if err := cobra.ExactArgs(2)(cmd, args); err != nil {
				return err
			}
			return checkFormat(format, "text", "json", "html")
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			files := analyseFiles{study: args[0], ratings: args[1], key: key, expected: expected, screening: screening,
				guesses: guesses}
			if assessors {
				format = assessorsFormat
			}
			return runAnalyse(cmd.OutOrStdout(), cmd.ErrOrStderr(), files, format)
		},
	}
	c.Flags().StringVar(&format, "format", "text", "text, json or html (one file with its figures inside)")
	c.Flags().BoolVar(&assessors, "assessors", false, "how well each assessor of a profile does, as text")
	c.Flags().StringVar(&key, "key", "", "the key of the serving plan, as CSV: assessor,position,code,dish,name")
	c.Flags().StringVar(&expected, "expected", "",
		"what was expected of names before tasting, as CSV: assessor,name,attribute,value")
	c.Flags().StringVar(&screening, "screening", "",
		"what was answered before the first plate, as CSV: assessor,question,answer")
	c.Flags().StringVar(&guesses, "guesses", "", "what was answered after the last plate, as CSV: assessor,guess")
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

// assessorsFormat stands for what --assessors asks for in place of the findings.
const assessorsFormat = "assessors"

type analyseFiles struct{ study, ratings, key, expected, screening, guesses string } // the last four "" = none

func runAnalyse(out, remarks io.Writer, files analyseFiles, format string) error {
	s, ratings, expected, err := readAnalyseFiles(remarks, files)
	if err != nil {
		return err
	}
	screened, err := readScreening(remarks, files.screening, s)
	if err != nil {
		return err
	}
	guessed, err := readFile(remarks, files.guesses, func(in io.Reader) ([]analysis.Guessed, []study.Problem) {
		return analysis.ReadGuessesCSV(files.guesses, in, s)
	})
	if err != nil {
		return err
	}
	o := analysis.Options{Expected: expected, Screened: screened, Guessed: guessed,
		Lottery: analysis.SeededLottery(s, ratings)}
	r, err := analysis.Analyse(s, ratings, o)
	if err != nil {
		return fmt.Errorf("analyse %s: %w", files.ratings, err)
	}
	buffered := bufio.NewWriter(out)
	switch format {
	case assessorsFormat:
		var check *analysis.PanelCheck
		if check, err = analysis.CheckPanel(s, ratings, o, r); err == nil {
			err = report.WriteAssessors(buffered, s, check)
		}
	case "json":
		err = report.WriteJSON(buffered, s, r)
	case "html":
		page := report.Build(s, r, report.Options{Rated: ratings})
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
	key, err := readFile(remarks, files.key, func(in io.Reader) (*analysis.Key, []study.Problem) {
		return analysis.ReadKey(files.key, in, s)
	})
	if err != nil {
		return nil, nil, nil, err
	}
	ratings, err := readFile(remarks, files.ratings, func(in io.Reader) ([]analysis.Rating, []study.Problem) {
		return analysis.ReadCSV(files.ratings, in, s, key)
	})
	if err != nil {
		return nil, nil, nil, err
	}
	expected, err := readFile(remarks, files.expected, func(in io.Reader) ([]analysis.Expectation, []study.Problem) {
		return analysis.ReadExpectedCSV(files.expected, in, s, key)
	})
	return s, ratings, expected, err
}

// readScreening reads the answers before the first plate; nil when no file is given.
func readScreening(remarks io.Writer, file string, s *study.Study) ([]analysis.Screened, error) {
	return readFile(remarks, file, func(in io.Reader) ([]analysis.Screened, []study.Problem) {
		return analysis.ReadScreeningCSV(file, in, s)
	})
}

// readFile reads a file and prints its mistakes; nothing when no file is given.
func readFile[T any](remarks io.Writer, file string, read func(io.Reader) (T, []study.Problem)) (T, error) {
	var nothing T
	if file == "" {
		return nothing, nil
	}
	in, err := os.Open(file)
	if err != nil {
		return nothing, err
	}
	defer in.Close()
	got, problems := read(in)
	if len(problems) > 0 {
		return nothing, printProblems(remarks, problems)
	}
	return got, nil
}

// printProblems prints mistakes one a line and returns the error for them.
func printProblems(w io.Writer, problems []study.Problem) error {
	for _, p := range problems {
		fmt.Fprintln(w, p.Error())
	}
	return errCheckFailed
}
