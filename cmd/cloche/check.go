package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

func newCheckCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "check STUDY.yaml…",
		Short: "Check study files and say what to mend",
		Long: "Check reads study files and prints every mistake in them, one a line:\n\n" +
			"  file:line:column: what is wrong; what to write instead\n\n" +
			"It exits with 1 if there is any. Of a sound file it says what the study is.\n" +
			"A file named - is read from standard input.",
		Example: "  cloche check studies/celeriac-custard.yaml",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, files []string) error {
			sound := true
			for _, file := range files {
				ok, err := checkStudy(cmd.OutOrStdout(), cmd.InOrStdin(), file)
				if err != nil {
					return err
				}
				sound = sound && ok
			}
			if !sound {
				return errCheckFailed
			}
			return nil
		},
	}
}

// checkStudy prints what is wrong with a study file, or what the study is, and
// reports whether the file is sound: it holds no mistake and a serving plan can
// be drawn from it. A file that cannot be read is not sound; the error is of
// writing.
func checkStudy(w io.Writer, stdin io.Reader, file string) (sound bool, err error) {
	src, err := readStudyFile(stdin, file)
	if err != nil {
		_, err = fmt.Fprintln(w, study.Problem{File: file, What: study.Say(err.Error()),
			Instead: study.Say("write the name of a study file")})
		return false, err
	}
	s, problems := study.Parse(file, src)
	if s == nil {
		for _, p := range problems {
			if _, err := fmt.Fprintln(w, p); err != nil {
				return false, err
			}
		}
		return false, nil
	}
	if few := analysis.TooFewPlanned(s); few != nil {
		_, err = fmt.Fprintln(w, study.Mistake(file, src, few.Path, study.Say(few.What), study.Say(few.Instead)))
		return false, err
	}
	if _, err := design.Draw(s, design.Options{Seed: s.Serving.Seed}); err != nil {
		_, err = fmt.Fprintf(w, "%s: %v\n", file, err)
		return false, err
	}
	_, err = fmt.Fprintf(w, "%s: sound. %s\n", file, studySummary(s))
	return true, err
}

// readStudyFile reads a whole file, or standard input when its name is "-". A file
// far beyond the size of a study is cut, which the reader of studies reports.
func readStudyFile(stdin io.Reader, file string) ([]byte, error) {
	in := stdin
	if file != "-" {
		f, err := os.Open(file)
		if err != nil {
			return nil, withoutPath(err)
		}
		defer f.Close()
		in = f
	}
	const most = 2 << 20
	b, err := io.ReadAll(io.LimitReader(in, most))
	return b, withoutPath(err)
}

// withoutPath is the cause of an error of a file whose name is told beside it.
func withoutPath(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	return err
}

// studySummary says in a line what a study is.
func studySummary(s *study.Study) string {
	parts := []string{
		fmt.Sprintf("“%s”", s.Title),
		"question: " + string(s.Question),
		sampleList(s),
	}
	if len(s.Attributes) > 0 {
		var ids []string
		for _, a := range s.Attributes {
			ids = append(ids, string(a.ID))
		}
		parts = append(parts, countOf(len(ids), "attribute")+" ("+strings.Join(ids, ", ")+")")
	}
	parts = append(parts, countOf(s.Panel.Assessors, "assessor")+" at "+countOf(s.Panel.Sittings, "sitting"))
	if s.Invented {
		parts = append(parts, "invented ratings")
	}
	return strings.Join(append(parts, "SHA-256 "+study.Hash(s)[:12]+"…"), "; ")
}

// sampleList lists each sample as "A: celeriac custard called “royale”".
func sampleList(s *study.Study) string {
	var each []string
	for _, x := range s.Samples {
		d, _ := s.Dish(x.Dish)
		text := fmt.Sprintf("%s: %s", x.ID, d.Title)
		if name := s.NameText(x.ID); name != "" {
			text += fmt.Sprintf(" called “%s”", name)
		}
		each = append(each, text)
	}
	return countOf(len(each), "sample") + " (" + strings.Join(each, ", ") + ")"
}

func countOf(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
