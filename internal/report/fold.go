package report

import (
	"cmp"
	"fmt"
	"slices"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

const (
	// longTable is up to how many comparisons of two samples a page shows them all, and
	// mostShown how many of more; the rest are shown on request.
	longTable = 15
	mostShown = 10
	// manyPanels is up to how many attributes a page shows the means of all samples on each;
	// of more it shows the primary one.
	manyPanels = 3
)

// inView says which findings of a result a page shows at once: of many comparisons of two
// samples the primary one, those of its pair on other attributes, then those that are clear,
// the surest first. What is not clear and of another pair is in view only where all are.
func inView(s *study.Study, all []analysis.Finding) []bool {
	shown := make([]bool, len(all))
	var rank []int
	for i, f := range all {
		shown[i] = true
		if f.Kind == analysis.KindPair || f.Kind == analysis.KindGroups {
			rank = append(rank, i)
		}
	}
	if len(rank) <= longTable {
		return shown
	}
	matters := func(i int) int {
		switch f := all[i]; {
		case f.Role == analysis.Primary:
			return 0
		case f.Compares(s.Plan.Compare):
			return 1
		case outcomeOf(f.Verdict) == Clear:
			return 2
		}
		return 3
	}
	slices.SortStableFunc(rank, func(a, b int) int {
		return cmp.Or(cmp.Compare(matters(a), matters(b)),
			cmp.Compare(orOne(all[a].Test.Deciding()), orOne(all[b].Test.Deciding())))
	})
	for at, i := range rank {
		shown[i] = at < mostShown && matters(i) < 3
	}
	return shown
}

// fold folds what a long page shows on request: rows out of view, the tests of all but
// the primary finding, the means of all but the primary attribute, and the notes of
// nothing that is in view.
func (p *Page) fold(s *study.Study) {
	clear := 0
	long := len(p.Table)+len(p.Panels) > longTable
	for i := range p.Table {
		r := &p.Table[i]
		r.TestsFolded = long && r.Role != string(analysis.Primary)
		if r.Folded {
			p.Folded++
			clear += map[bool]int{true: 1}[r.Clear]
		}
	}
	for i := range p.Panels {
		x := &p.Panels[i]
		x.Folded = len(p.Panels) > manyPanels && x.Attribute != string(s.Plan.Attribute)
		x.TestsFolded = long && x.Attribute != string(s.Plan.Attribute)
	}
	p.FoldedText = foldedText(p.Folded, clear)
	p.FoldedPanelsText = foldedPanelsText(p.FoldedPanels())
}

// FoldedPanels are the parts on all samples that are shown on request.
func (p Page) FoldedPanels() []Panel {
	return slices.DeleteFunc(slices.Clone(p.Panels), func(x Panel) bool { return !x.Folded })
}

// foldedPanelsText says how many questions are folded away, and on how many the samples differ.
func foldedPanelsText(folded []Panel) string {
	clear := 0
	for _, x := range folded {
		clear += map[bool]int{true: 1}[x.Clear]
	}
	of := "no clear difference on any of them"
	switch {
	case clear > 0 && clear == len(folded):
		of = "clear differences on all of them"
	case clear > 0:
		of = fmt.Sprintf("clear differences on %d of them", clear)
	}
	return fmt.Sprintf("All samples on the other %d questions: %s", len(folded), of)
}

// foldedText says how many comparisons are folded away, and how many of them are clear.
func foldedText(n, clear int) string {
	what := "comparisons"
	if n == 1 {
		what = "comparison"
	}
	of := "none of them clear"
	switch {
	case n == 1 && clear == 0:
		of = "not clear"
	case n == 1:
		of = "clear"
	case clear == n:
		of = "all of them clear"
	case clear > 0:
		of = fmt.Sprintf("%d of them clear", clear)
	}
	return fmt.Sprintf("%d more %s, %s", n, what, of)
}

// FoldedTests are the rows whose tests are shown on request.
func (p Page) FoldedTests() []Row {
	return slices.DeleteFunc(p.Tested(), func(r Row) bool { return !r.TestsFolded })
}

// foldNotes parts the footnotes in two: those that something in view refers to, and the others.
func (p *Page) foldNotes(all []Note) {
	used := map[int]bool{}
	for _, r := range p.Tested() {
		if !r.Folded {
			for _, n := range r.Notes {
				used[n] = true
			}
		}
	}
	for _, n := range all {
		if p.Folded == 0 || used[n.Number] {
			p.Notes = append(p.Notes, n)
			continue
		}
		p.FoldedNotes = append(p.FoldedNotes, n)
	}
}

// findingsTable are rows of the table of findings, with what stands above them.
type findingsTable struct {
	Headings Headings
	OnePair  string
	Rows     []Row
}

// Shown are the findings that are shown at once, OnRequest those that are unfolded.
func (p Page) Shown() findingsTable     { return p.findings(false) }
func (p Page) OnRequest() findingsTable { return p.findings(true) }

func (p Page) findings(folded bool) findingsTable {
	t := findingsTable{Headings: p.Headings, OnePair: p.OnePair}
	for _, r := range p.Table {
		if r.Folded == folded {
			t.Rows = append(t.Rows, r)
		}
	}
	return t
}
