package analysis

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"
	"strings"

	"cloche/internal/study"
)

// columnsOf are the columns of a ratings file, in order. A reference that may be either
// sample has its own.
func columnsOf(s *study.Study) []string {
	columns := []string{"assessor", "turn", "position", "code", "dish", "name", "attribute", "value"}
	if s.ReferenceVaries() {
		columns = append(columns, "reference")
	}
	if s.Plan.StopEarly || s.Plan.Evidence != "" {
		columns = append(columns, arrivedColumn)
	}
	if len(s.Plan.Looks) > 0 {
		columns = append(columns, lookColumn)
	}
	return columns
}

// arrivedColumn says as which answer of the study a turn came, where the plan stops early
// or counts evidence.
const arrivedColumn = "arrived"

// lookColumn says before which look a rating was in, where the plan has looks.
const lookColumn = "look"

// stratumColumn is there where assessors belong to strata.
const stratumColumn = "stratum"

// sittingColumn is there where the sittings of servings are known.
const sittingColumn = "sitting"

// formulaStarts are the first characters that make a spreadsheet run a cell as
// a formula, and the apostrophe itself, which guards against that.
const formulaStarts = "=+-@\t\r'"

// WriteCSV writes ratings as a file that [ReadCSV] reads back: comma, UTF-8,
// ids of dishes, names and attributes, numbers with a decimal point. Words
// that a spreadsheet would run as a formula get an apostrophe in front.
func WriteCSV(w io.Writer, s *study.Study, ratings []Rating) error {
	out := csv.NewWriter(w)
	stratified := slices.ContainsFunc(ratings, func(r Rating) bool { return r.Stratum != "" })
	header := columnsOf(s)
	if stratified {
		header = append(header, stratumColumn)
	}
	sittings := slices.ContainsFunc(ratings, func(r Rating) bool { return r.Sitting > 0 })
	if sittings {
		header = append(header, sittingColumn)
	}
	if err := out.Write(header); err != nil {
		return err
	}
	for _, r := range ratings {
		x, _ := s.Sample(r.Sample)
		row := []string{guard(r.Assessor), known(r.Turn), known(r.Position), guard(string(r.Code)), string(x.Dish),
			string(x.Name), string(r.Attribute), strconv.FormatFloat(r.Value, 'f', -1, 64)}
		if s.ReferenceVaries() {
			reference, _ := s.Sample(r.Reference)
			row = append(row, string(reference.Dish))
		}
		if s.Plan.StopEarly || s.Plan.Evidence != "" {
			row = append(row, known(r.Arrived))
		}
		if len(s.Plan.Looks) > 0 {
			row = append(row, known(r.Look))
		}
		if stratified {
			row = append(row, guard(r.Stratum))
		}
		if sittings {
			row = append(row, known(r.Sitting))
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// known writes a number from 1; 0 is not known.
func known(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// guard puts an apostrophe before words that would run as a formula.
func guard(cell string) string {
	if cell != "" && strings.ContainsRune(formulaStarts, rune(cell[0])) {
		return "'" + cell
	}
	return cell
}

// unguard takes back what guard did.
func unguard(cell string) string {
	if len(cell) > 1 && cell[0] == '\'' && strings.ContainsRune(formulaStarts, rune(cell[1])) {
		return cell[1:]
	}
	return cell
}
