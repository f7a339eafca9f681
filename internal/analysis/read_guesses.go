package analysis

import (
	"fmt"
	"io"
	"strings"

	"cloche/internal/study"
)

var guessColumns = [...]string{"assessor", "guess", "thought", "after_close"}

// ReadGuessesCSV reads what assessors said to the last question, one a row: assessor, guess,
// and thought where the file has it. A guess is the id of a sample, or same, different or don't
// know, as the study asks; empty where only words were asked for. Rows whose after_close is true
// do not count. Otherwise it reads as [ReadCSV] does.
func ReadGuessesCSV(file string, r io.Reader, s *study.Study) ([]Guessed, []study.Problem) {
	f := openCSV(file, r, guessColumns[:], guessColumns[2:]...)
	if len(f.problems) > 0 {
		return nil, f.problems
	}
	seen := map[string]int{} // line
	var all []Guessed
	for row, ok := f.next(); ok; row, ok = f.next() {
		x := Guessed{Assessor: row.text("assessor"), Guess: study.Guess(row.text("guess")),
			Thought: row.text("thought") != ""}
		line, twice := seen[x.Assessor]
		switch {
		case strings.EqualFold(row.text("after_close"), "true"):
			continue
		case x.Assessor == "":
			row.report("assessor", "no assessor", "write who answered")
		case s.Panel.LastQuestion == "":
			row.report("guess", "the study asks nothing after the last plate", "write last question: under panel, or "+
				"leave the file out")
		case x.Guess != "" && !s.GuessHolds(x.Guess):
			row.report("guess", fmt.Sprintf("%q is no answer to last question: %s", x.Guess, s.Panel.LastQuestion),
				guessesInWords(s))
		case twice:
			row.report("assessor", fmt.Sprintf("assessor %s answered in line %d already", x.Assessor, line),
				"keep one of the rows")
		default:
			seen[x.Assessor] = row.line
			all = append(all, x)
		}
	}
	if len(f.problems) > 0 {
		return nil, f.allProblems()
	}
	return all, nil
}

// guessesInWords says which answers there are.
func guessesInWords(s *study.Study) string {
	switch s.Panel.LastQuestion {
	case study.AskSame:
		return fmt.Sprintf("write %s, %s or %s", study.GuessSame, study.GuessDifferent, study.GuessUnknown)
	case study.AskWhich:
		return fmt.Sprintf("write %s, %s or %s", s.Plan.Compare[0], s.Plan.Compare[1], study.GuessUnknown)
	case study.AskCompared:
	}
	return "leave it empty"
}
