package analysis

import (
	"fmt"
	"io"

	"cloche/internal/study"
)

// expectedColumns are the columns of a file of what was expected, in order.
var expectedColumns = [...]string{"assessor", "name", "attribute", "value"}

// ReadExpectedCSV reads what assessors expected of names before any tasting, one
// answer a row: assessor, name, attribute, value. Otherwise it reads as [ReadCSV]
// does. With a key, the assessor must be in it.
func ReadExpectedCSV(file string, r io.Reader, s *study.Study, key *Key) ([]Expectation, []study.Problem) {
	f := openCSV(file, r, expectedColumns[:])
	if len(f.problems) > 0 {
		return nil, f.problems
	}
	in := newRatingsReader(s, key)
	seen := map[expectationKey]int{} // line
	var all []Expectation
	for row, ok := f.next(); ok; row, ok = f.next() {
		if x, ok := in.expectation(row, seen); ok {
			all = append(all, x)
		}
	}
	if len(f.problems) == 0 && len(all) == 0 {
		f.report(1, 1, "nothing is expected below the first line", "add one answer a row")
	}
	if len(f.problems) > 0 {
		return nil, f.allProblems()
	}
	return all, nil
}

// expectation reads one row; false when it holds a mistake, which is then reported.
func (in *ratingsReader) expectation(row csvRow, seen map[expectationKey]int) (Expectation, bool) {
	before := len(row.from.problems) + row.from.unlisted
	x := Expectation{Assessor: row.text("assessor")}
	switch {
	case x.Assessor == "":
		row.report("assessor", "no assessor", "write who answered")
	case in.key != nil && !in.key.assessors[x.Assessor]:
		row.report("assessor", fmt.Sprintf("assessor %q is not in the key", x.Assessor),
			"write the label that the key has")
	}
	if row.text("name") == "" {
		row.report("name", "no name", "write the name that was read")
	} else {
		x.Name, _ = in.words.name(row)
	}
	var r Rating
	in.readValue(row, &r)
	x.Attribute, x.Value = r.Attribute, r.Value
	if len(row.from.problems)+row.from.unlisted > before {
		return x, false
	}
	at := expectationKey{x.Assessor, x.Name, x.Attribute}
	if line, twice := seen[at]; twice {
		row.report("attribute", fmt.Sprintf("assessor %s said what they expect of %s of name %s in line %d already",
			x.Assessor, x.Attribute, x.Name, line),
			"keep one of the rows")
		return x, false
	}
	seen[at] = row.line
	return x, true
}
