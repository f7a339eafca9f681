package analysis

import (
	"fmt"

	"cloche/internal/study"
)

const tickedOrNot = "write 1 for a word that was ticked and 0 for one that was not"

// tickedRows gathers the rows of a file that answer words, to be checked once all are read:
// a word that has no row is not one that was not ticked.
type tickedRows struct {
	s      *study.Study
	words  int
	order  []tickedServing
	counts map[tickedServing]int
	first  map[tickedServing]choiceRow
	seen   map[tickedWord]int // line
}

type tickedServing struct {
	assessor string
	sample   study.SampleID
}

type tickedWord struct {
	tickedServing
	word study.AttributeID
}

func newTickedRows(s *study.Study) *tickedRows {
	list, _ := s.Words()
	return &tickedRows{s: s, words: len(list.Scale.Ticks), counts: map[tickedServing]int{},
		first: map[tickedServing]choiceRow{}, seen: map[tickedWord]int{}}
}

func (t *tickedRows) add(row csvRow, r Rating) {
	if t.words == 0 {
		return
	}
	line, column := row.from.rows.FieldPos(row.from.column["value"])
	at := tickedServing{r.Assessor, r.Sample}
	if first, twice := t.seen[tickedWord{at, r.Attribute}]; twice {
		row.report("attribute", fmt.Sprintf("assessor %s answers %s of sample %s in line %d already", r.Assessor,
			r.Attribute, r.Sample, first), "keep one of the rows: each sample is tasted once")
		return
	}
	t.seen[tickedWord{at, r.Attribute}] = line
	if _, rated := t.s.Attribute(r.Attribute); rated {
		return
	}
	if t.counts[at] == 0 {
		t.order, t.first[at] = append(t.order, at), choiceRow{r, line, column}
	}
	t.counts[at]++
}

// check reports servings of which some words have a row and others none.
func (t *tickedRows) check(f *csvFile) {
	for _, at := range t.order {
		if n := t.counts[at]; n < t.words {
			f.report(t.first[at].line, t.first[at].column, fmt.Sprintf("%d of the %d words stand for sample %s of "+
				"assessor %s", n, t.words, at.sample, at.assessor), "write a row for each word: "+
				tickedOrNot[len("write "):])
		}
	}
}
