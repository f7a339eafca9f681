package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// wordsKind tells which words people tick for each sample.
var wordsKind = kind{wordsVerdict, wordsAsked, wordsRow, wordsFigures}

// NumberTable is a table of findings whose columns are its own.
type NumberTable struct {
	Title    string
	Said     []string // above it
	Headings []string
	Rows     [][]string // the first of each is its heading
	Below    []string
}

func wordsAsked(s *study.Study, f analysis.Finding) string {
	list, _ := s.Words()
	return fmt.Sprintf("Asked beforehand: “%s” — %d words, ticked for each of %d samples by %s.", list.Ask,
		len(f.Words.Words), len(f.Comparison), people(f.N))
}

// surestWords are the words by their adjusted p.
func surestWords(f analysis.Finding) []analysis.WordFinding {
	words := slices.Clone(f.Words.Words)
	slices.SortStableFunc(words, func(a, b analysis.WordFinding) int {
		return cmp.Or(cmp.Compare(orOne(a.Test.PAdjusted), orOne(b.Test.PAdjusted)),
			cmp.Compare(orOne(a.Test.P), orOne(b.Test.P)))
	})
	return words
}

// telling are the words that set samples apart, each with all words allowed for.
func telling(s *study.Study, f analysis.Finding) (words []analysis.WordFinding) {
	for _, w := range surestWords(f) {
		if w.Test.PAdjusted < s.Plan.Alpha {
			words = append(words, w)
		}
	}
	return words
}

// wordsVerdict says whether people tick other words for one sample than for another, and
// which.
func wordsVerdict(s *study.Study, f analysis.Finding) []study.Said {
	all := study.Say("the %d samples", len(f.Comparison))
	switch outcomeOf(f.Verdict) {
	case NoAnswer:
		return []study.Said{study.Say("Too few to say whether people tick other words for one of %s than for "+
			"another: %s ticked them for all, and a verdict takes at least %d.", all, people(f.N),
			analysis.Fewest(s.Plan.Alpha))}
	case Clear:
		words := telling(s, f)
		lines := []study.Said{study.Say("People do not tick the same words for %s: %s.", all, apartBy(words,
			len(f.Words.Words)))}
		for _, w := range words[:min(2, len(words))] {
			lines = append(lines, wordOfTen(s, f, w))
		}
		return append(lines, wordsActed(f), partners(wordsNumbers(f)))
	}
	return []study.Said{study.Say("It was not shown that people tick other words for one of %s than for another.",
		all),
		wordsMargin(f), partners(wordsNumbers(f))}
}

// apartBy names the words that set samples apart.
func apartBy(words []analysis.WordFinding, all int) study.Said {
	var named []study.Said
	for _, w := range words {
		named = append(named, study.Say("“%s”", w.Word))
	}
	switch n := len(words); {
	case n == 0:
		return study.Say("all words together set them apart, and no single one does once all are allowed for")
	case n == 1:
		return study.Say("%s sets them apart, of %d words", named[0], all)
	case n > mostPairs:
		return study.Say("%s and %d more of %d words set them apart", inOrder(named[:mostPairs], ", "),
			n-mostPairs, all)
	}
	return study.Say("%s and %s set them apart, of %d words", inOrder(named[:len(named)-1], ", "),
		named[len(named)-1],
		all)
}

// wordOfTen says how many more people ticked a word for one sample than for another: of the
// pair in which the difference is largest.
func wordOfTen(s *study.Study, f analysis.Finding, w analysis.WordFinding) study.Said {
	var most analysis.WordPair
	for _, p := range w.Pairs {
		if math.Abs(p.Difference) > math.Abs(most.Difference) {
			most = p
		}
	}
	if most.Difference < 0 {
		most = most.Turned()
	}
	first, second := analysis.LabelSaid(s, most.First), analysis.LabelSaid(s, most.Second)
	if ofTen(most.Difference) > 0 {
		return study.Say("Of ten people, %s more ticked “%s” for %s than for %s.", aboutOfTen(most.Difference),
			w.Word,
			first, second)
	}
	return study.Say("Of a hundred people, %s more ticked “%s” for %s than for %s.", figure(100*most.Difference, 0),
		w.Word, first, second)
}

// worthTicking is the smallest effect in words.
func worthTicking(f analysis.Finding) study.Said {
	if share := f.Verdict.Margin; math.Abs(10*share-math.Round(10*share)) >= 1e-9 {
		return study.Say("%s more of a hundred people", figure(100*share, 0))
	}
	return study.Say("%d more of ten people", ofTen(f.Verdict.Margin))
}

// wordsActed holds what was found against the share worth acting on.
func wordsActed(f analysis.Finding) study.Said {
	switch v := f.Verdict; {
	case v.Margin <= 0:
		return study.Said{}
	case v.Code == analysis.DifferentAct:
		return study.Say("Of at least one word it is clear that the difference reaches the %s that the study set "+
			"out to act on.", worthTicking(f))
	case v.Code == analysis.DifferentSmall:
		return study.Say("Of every word it is clear that the difference is short of the %s that the study set "+
			"out to act on.", worthTicking(f))
	}
	return study.Say("Whether any word reaches the %s that the study set out to act on is open.", worthTicking(f))
}

// wordsMargin says what it means that nothing was found.
func wordsMargin(f analysis.Finding) study.Said {
	switch v := f.Verdict; {
	case v.Code == analysis.Alike:
		return study.Say("Of no word it is as many as the %s that the study set out to act on.", worthTicking(f))
	case v.Margin > 0:
		return study.Say("That %s tick a word for one sample than for another, as the study set out to act on, "+
			"is still possible.", worthTicking(f))
	}
	return study.Say("A difference was not shown, and it was not ruled out either.")
}

func wordsNumbers(f analysis.Finding) string {
	return fmt.Sprintf("In numbers: %s; %s.", testInWords(f.Test), pPhrase(f.Test.Deciding()))
}

// wordsRow is the row of all words together.
func wordsRow(s *study.Study, f analysis.Finding, v Verdict, notes *footnotes) Row {
	r := Row{
		Ask: "Words", Compared: "all words, all samples", Pair: "all", Attribute: string(f.Attribute),
		Role: string(f.Role),
		N:    f.N, Counts: fmt.Sprintf("%d of %d words set samples apart", len(telling(s, f)), len(f.Words.Words)),
		Share: none, P: pValue(f.Test.Deciding()), Clear: v.Outcome == Clear, Notes: notes.ofAll(f.Warnings),
		Technical: testRows(f), Excluded: exclusionLines(f.Excluded),
	}
	if v.Outcome != Clear {
		r.Counts = fmt.Sprintf("%d words", len(f.Words.Words))
	}
	if m := f.Words.Map; m != nil {
		r.Technical = append(r.Technical, TechRow{upperFirst(method.Correspondence.Title()) + ": inertia",
			number(m.Inertia, 4), none, none, none})
	}
	for _, w := range f.Words.Words {
		row := testRow(w.Test)
		row.What = fmt.Sprintf("%s: %s", w.Word, w.Test.Title)
		r.Technical = append(r.Technical, row)
		for _, p := range w.Pairs { // the others stand in the findings as JSON
			if !(w.Test.PAdjusted < s.Plan.Alpha) {
				break
			}
			row := testRow(p.Test)
			row.What = fmt.Sprintf("%s, %s and %s: %s", w.Word, p.First, p.Second, p.Test.Title)
			row.Interval = interval(p.CI, 3)
			r.Technical = append(r.Technical, row)
		}
		if w.With != nil {
			row := testRow(w.With.Test)
			row.What = fmt.Sprintf("%s, %s with it and without: %s", w.Word, f.Words.Beside, w.With.Test.Title)
			row.Interval = interval(w.With.CI, 3)
			r.Technical = append(r.Technical, row)
		}
	}
	return r
}

// wordTables are the tables of a finding on words.
func wordTables(s *study.Study, f analysis.Finding) []NumberTable {
	if f.N == 0 {
		return nil
	}
	tables := []NumberTable{tickedTable(s, f)}
	if t, ok := wordPairsTable(s, f); ok {
		tables = append(tables, t)
	}
	if t, ok := ratedTable(s, f); ok {
		tables = append(tables, t)
	}
	return tables
}

// tickedTable is how many people ticked each word for each sample, the surest first.
func tickedTable(s *study.Study, f analysis.Finding) NumberTable {
	t := NumberTable{Title: "Who ticked which word", Headings: []string{"Word"}}
	for _, id := range f.Comparison {
		t.Headings = append(t.Headings, analysis.Label(s, id))
	}
	t.Headings = append(t.Headings, "p")
	for _, w := range surestWords(f) {
		t.Rows = append(t.Rows, append(append([]string{w.Word}, countsOf(w.Ticked)...), pValue(w.Test.PAdjusted)))
	}
	t.Rows = append(t.Rows, append(append([]string{"none of them"}, countsOf(f.Words.None)...), none))
	t.Below = []string{fmt.Sprintf("People who ticked it, of %d. p is that of the %s for each word, with all %d "+
		"words "+
		"allowed for by %s. A word that everybody ticks for all samples alike, or nobody, has none.", f.N,
		method.CochranQ.Title(), len(f.Words.Words), method.Holm.Title())}
	if list, ok := s.Words(); ok {
		t.Below = append(t.Below, fmt.Sprintf("The ballot has the %d words in another order for each guest and each "+
			"serving, so that over guests every word stands about equally often at every place of the "+
			"list.", len(list.Scale.Labels)))
	}
	return t
}

func countsOf(ns []int) []string {
	var out []string
	for _, n := range ns {
		out = append(out, fmt.Sprint(n))
	}
	return out
}

// wordPairsTable is every pair of samples on the words that set samples apart.
func wordPairsTable(s *study.Study, f analysis.Finding) (NumberTable, bool) {
	t := NumberTable{Title: "Which samples the words set apart", Headings: []string{"Word", "More often for",
		"than for", "Only the first / only the second", "People more (interval)", "p"}}
	pairs := 0
	for _, w := range telling(s, f) {
		for _, p := range w.Pairs {
			if p.Difference < 0 {
				p = p.Turned()
			}
			pairs = len(w.Pairs)
			t.Rows = append(t.Rows, []string{w.Word, analysis.Label(s, p.First), analysis.Label(s, p.Second),
				fmt.Sprintf("%d / %d", p.OnlyFirst, p.OnlySecond), fmt.Sprintf("%s (%s)", shareWords(p.Difference),
					shareSpan(p)), pValue(p.Test.PAdjusted)})
		}
	}
	t.Below = []string{fmt.Sprintf("p is that of the %s, with the %s of the word allowed for by %s; intervals hold "+
		"all pairs of all words together with %s confidence (%s). The pairs of the other words are in the findings "+
		"as JSON.",
		method.McNemar.Title()+", exact", pairsOfWord(pairs),
		method.Holm.Title(), percent(s.Plan.Level()), method.Bonferroni.Title())}
	return t, len(t.Rows) > 0
}

func pairsOfWord(n int) string {
	if n == 1 {
		return "one pair"
	}
	return fmt.Sprintf("%d pairs", n)
}

func shareSpan(p analysis.WordPair) string {
	return number(100*p.Adjusted.Lo, 0) + " to " + number(100*p.Adjusted.Hi, 0) + " %"
}

// ratedTable is how people rated servings with and without each word.
func ratedTable(s *study.Study, f analysis.Finding) (NumberTable, bool) {
	a, ok := s.Attribute(f.Words.Beside)
	if !ok {
		return NumberTable{}, false
	}
	n := decimalsFor(a.Scale)
	t := NumberTable{Title: fmt.Sprintf("Words beside “%s”", a.Ask), Headings: []string{"Word", "People", "With it",
		"Without", fmt.Sprintf("Difference (%s interval)", percent(s.Plan.Level())), "p"}}
	words := surestWords(f)
	slices.SortStableFunc(words, func(a, b analysis.WordFinding) int {
		return cmp.Compare(ratedP(a), ratedP(b))
	})
	for _, w := range words {
		if x := w.With; x != nil {
			t.Rows = append(t.Rows, []string{w.Word, fmt.Sprint(x.People), number(x.Ticked, n), number(x.Without, n),
				fmt.Sprintf("%s (%s)", signed(x.Difference, n), interval(x.CI, n)), pValue(x.Test.PAdjusted)})
		}
	}
	t.Below = []string{fmt.Sprintf("Of people who ticked the word for some samples and not for others: the mean of "+
		"their ratings with it and without, and the difference within people; %s, with all words allowed for by %s. "+
		"Words and ratings come from the same mouth: that they go together does not say which of them makes the "+
		"other.",
		method.PairedT.Title(), method.Holm.Title())}
	return t, len(t.Rows) > 0
}

func ratedP(w analysis.WordFinding) float64 {
	if w.With == nil {
		return math.Inf(1)
	}
	return orOne(w.With.Test.P)
}

// textNumberTables writes tables for a terminal.
func textNumberTables(b *strings.Builder, tables []NumberTable) error {
	for _, x := range tables {
		fmt.Fprintf(b, "%s\n%s\n\n", x.Title, strings.Repeat("-", len([]rune(x.Title))))
		for _, line := range x.Said {
			fmt.Fprintf(b, "%s\n", line)
		}
		if len(x.Said) > 0 {
			b.WriteByte('\n')
		}
		t := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
		fmt.Fprintln(t, strings.Join(x.Headings, "\t"))
		for _, row := range x.Rows {
			fmt.Fprintln(t, strings.Join(row, "\t"))
		}
		if err := t.Flush(); err != nil {
			return err
		}
		fmt.Fprintf(b, "\n%s\n\n", strings.Join(x.Below, "\n"))
	}
	return nil
}
