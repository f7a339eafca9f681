package analysis

import (
	"fmt"
	"io"
	"strconv"

	"cloche/internal/design"
	"cloche/internal/study"
)

// ReadKey reads the key of a serving plan as CSV with the columns assessor,
// position, code, dish, name. Servings at position 0 (warm-up, reference) are
// not rated and are left out. Every mistake is reported, and then no key is
// returned.
func ReadKey(file string, r io.Reader, s *study.Study) (*Key, []study.Problem) {
	f := openCSV(file, r, design.KeyHeader)
	if len(f.problems) > 0 {
		return nil, f.problems
	}
	words := newVocabulary(s)
	seen := map[place]int{}
	var servings []KeyServing
	for row, ok := f.next(); ok; row, ok = f.next() {
		v := KeyServing{Assessor: row.text("assessor"), Code: design.Code(row.text("code")), Sample: words.sample(row)}
		if v.Assessor == "" {
			row.report("assessor", "no assessor", "write the assessor's label")
		}
		n, err := strconv.Atoi(row.text("position"))
		if err != nil || n < 0 {
			row.report("position", fmt.Sprintf("%q is not a position", row.text("position")),
				"write a whole number from 1, or 0 for a serving that is not rated")
			continue
		}
		if v.Position = n; n == 0 {
			continue
		}
		at := place{v.Assessor, n}
		if line, twice := seen[at]; twice {
			row.report("position", fmt.Sprintf("assessor %s has position %d in line %d already", v.Assessor, n, line),
				"keep one of the rows")
		}
		seen[at] = row.line
		servings = append(servings, v)
	}
	if len(f.problems) == 0 && len(servings) == 0 {
		f.report(1, 1, "there are no rated servings below the first line", "write the key with “cloche plan --for key”")
	}
	if len(f.problems) > 0 {
		return nil, f.allProblems()
	}
	return NewKey(servings), nil
}
