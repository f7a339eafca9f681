// Package analysistest writes ratings as people keep them, for tests.
package analysistest

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// WriteCSV writes ratings as a file that [analysis.ReadCSV] reads back: comma, UTF-8,
// ids of dishes, names and attributes, numbers with a decimal point. Words
// that a spreadsheet would run as a formula get an apostrophe in front.
func WriteCSV(w io.Writer, s *study.Study, ratings []analysis.Rating) error {
	out := csv.NewWriter(w)
	stratified := slices.ContainsFunc(ratings, func(r analysis.Rating) bool { return r.Stratum != "" })
	header := []string{"assessor", "turn", "position", "code", "dish", "name", "attribute", "value"}
	if s.ReferenceVaries() {
		header = append(header, "reference")
	}
	if s.Plan.StopEarly || s.Plan.Evidence != "" {
		header = append(header, "arrived")
	}
	if len(s.Plan.Looks) > 0 {
		header = append(header, "look")
	}
	if stratified {
		header = append(header, "stratum")
	}
	sittings := slices.ContainsFunc(ratings, func(r analysis.Rating) bool { return r.Sitting > 0 })
	if sittings {
		header = append(header, "sitting")
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
	if cell != "" && strings.ContainsRune("=+-@\t\r'", rune(cell[0])) {
		return "'" + cell
	}
	return cell
}
