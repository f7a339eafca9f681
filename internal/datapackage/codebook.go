package datapackage

import (
	"slices"
	"strconv"
	"strings"
)

// mostLevels is up to how many values of a text the codebook lists.
const mostLevels = 12

// longestLevel is up to how many bytes a value is a level, and no sentence.
const longestLevel = 40

func longest(cells []string) (most int) {
	for _, c := range cells {
		most = max(most, len(c))
	}
	return most
}

// labelOf is the first part of what a field says.
func labelOf(says string) string {
	if i := strings.IndexAny(says, ".:;"); i > 0 {
		return says[:i]
	}
	return says
}

// values are those of a column: the ends of numbers and times, the values of a text that
// has few, and how many are missing.
func (t *table) values(column int) (lowest, highest, levels string, missing int) {
	var seen []string
	distinct := map[string]bool{}
	for _, row := range t.rows {
		cell := row[column]
		if cell == "" {
			missing++
			continue
		}
		if !distinct[cell] {
			distinct[cell] = true
			seen = append(seen, cell)
		}
	}
	kind := t.fields[column].kind
	switch {
	case len(seen) == 0:
	case kind == yesNo, kind == text && len(seen) <= mostLevels && longest(seen) <= longestLevel:
		slices.Sort(seen)
		levels = strings.Join(seen, " | ")
	case kind == datetime: // in UTC they sort as text
		lowest, highest = slices.Min(seen), slices.Max(seen)
	case kind == whole, kind == number:
		slices.SortFunc(seen, byNumber)
		lowest, highest = seen[0], seen[len(seen)-1]
	}
	return lowest, highest, levels, missing
}

// byNumber orders cells that this program wrote as numbers.
func byNumber(a, b string) int {
	x, _ := strconv.ParseFloat(a, 64)
	y, _ := strconv.ParseFloat(b, 64)
	switch {
	case x < y:
		return -1
	case x > y:
		return 1
	}
	return 0
}
