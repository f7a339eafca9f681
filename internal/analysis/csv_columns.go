package analysis

import (
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

// unguard takes back the apostrophe that guards words from being run.
func unguard(cell string) string {
	if len(cell) > 1 && cell[0] == '\'' && strings.ContainsRune(formulaStarts, rune(cell[1])) {
		return cell[1:]
	}
	return cell
}
