package report

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// WriteText writes the findings for a terminal: the verdict, a table with
// footnotes, then what else was tested.
func WriteText(w io.Writer, s *study.Study, r *analysis.Result) error {
	var b strings.Builder
	p := Build(s, r, Options{})
	fmt.Fprintf(&b, "%s\n%s\n\n", p.Title, strings.Repeat("=", len([]rune(p.Title))))
	if p.Invented {
		b.WriteString("INVENTED DATA: made up to show how the program works.\n\n")
	}
	for _, sentence := range p.Verdict {
		fmt.Fprintln(&b, sentence)
	}
	fmt.Fprintf(&b, "\nWhat now: %s\n\nWhat this cannot say: %s\n\n%s\n\n", p.Next, p.Limits, p.Asked)
	if err := textSure(&b, p.Sure); err != nil {
		return err
	}
	if err := textEffects(&b, p.Headings, p.Effects); err != nil {
		return err
	}
	if err := textTable(&b, s, p); err != nil {
		return err
	}
	if err := textNumberTables(&b, p.Tables); err != nil {
		return err
	}
	if err := textProfile(&b, p.Profile); err != nil {
		return err
	}
	if err := textPanels(&b, p); err != nil {
		return err
	}
	if err := textAboutRights(&b, p); err != nil {
		return err
	}
	if err := textExpected(&b, p); err != nil {
		return err
	}
	textNotes(&b, p)
	textTechnical(&b, p)
	_, err := io.WriteString(w, b.String())
	return err
}

func textTable(b *strings.Builder, s *study.Study, p Page) error {
	for _, x := range s.Samples {
		fmt.Fprintf(b, "%s = %s\n", x.ID, analysis.Label(s, x.ID))
	}
	b.WriteByte('\n')
	if len(p.Table) > 0 {
		if err := textRows(b, p.Headings, p.Table); err != nil {
			return err
		}
	}
	if len(p.Choices) > 0 {
		if err := textChoices(b, p.Headings, p.Choices); err != nil {
			return err
		}
	}
	if err := textAmounts(b, p.Headings, p.Amounts); err != nil {
		return err
	}
	for _, line := range p.Headings.Below {
		fmt.Fprintln(b, line)
	}
	b.WriteByte('\n')
	return nil
}

func textChoices(b *strings.Builder, h Headings, rows []Row) error {
	t := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "compared\tn\tcounts\tshare\t%s\tp\tnotes\n", h.Interval)
	for _, r := range rows {
		fmt.Fprintf(t, "%s\t%d\t%s\t%s\t%s\t%s\t%s\n", r.Pair, r.N, r.Counts, r.Share, r.Interval, r.P,
			noteMarks(r.Notes))
	}
	return t.Flush()
}

func textRows(b *strings.Builder, h Headings, rows []Row) error {
	t := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "attribute\tcompared\tn\tmeans\t%s\t%s\t%s\tp\tnotes\n", strings.ToLower(h.Difference),
		h.Interval, strings.ReplaceAll(strings.ToLower(h.Moved), " / ", "/"))
	for _, r := range rows {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s, %s\t%s\t%s\t%s\t%s\t%s\n", r.Attribute, r.Pair, r.People, r.MeanFirst,
			r.MeanSecond,
			r.Difference, r.Interval, strings.ReplaceAll(r.Moved, " / ", "/"), r.P, noteMarks(r.Notes))
	}
	return t.Flush()
}

// textPanels writes what was found of all samples together.
func textPanels(b *strings.Builder, p Page) error {
	for _, x := range p.Panels {
		heading := "All samples: " + x.Ask
		fmt.Fprintf(b, "%s\n%s\n\n%s%s\n\n", heading, strings.Repeat("-", len([]rune(heading))), x.Said.Text,
			noteMarks(x.Notes))
		if len(x.Samples) == 0 {
			continue
		}
		t := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
		fmt.Fprint(t, "sample\tn\tmean\tinterval\tletters\n")
		for _, e := range x.Samples {
			fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\n", e.Label, e.N, e.Mean, e.Interval, e.Letters)
		}
		if err := t.Flush(); err != nil {
			return err
		}
		fmt.Fprint(b, "\n")
		fmt.Fprint(t, "pair\tp\tdifference\tinterval\twith carry-over\n")
		for _, e := range x.Pairs {
			fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\n", e.Compared, e.P, e.Difference, e.Interval, e.WithCarryOver)
		}
		if err := t.Flush(); err != nil {
			return err
		}
		fmt.Fprintf(b, "\n%s\n\n", strings.Join(x.Below, "\n"))
	}
	return nil
}

// textAboutRights writes how many found what about right.
func textAboutRights(b *strings.Builder, p Page) error {
	for _, x := range p.AboutRights {
		heading := "About right? " + x.Ask
		fmt.Fprintf(b, "%s\n%s\n\n%s%s\n\n", heading, strings.Repeat("-", len([]rune(heading))), x.Said.Text,
			noteMarks(x.Notes))
		t := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
		fmt.Fprintf(t, "sample\tsaid\tpeople\tshare\tdrop in liking\t%s\tdrop × share\tp\n", x.Interval)
		for _, e := range x.Sides {
			said := e.Said
			if e.Few {
				said += " (too few to act on)"
			}
			fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", e.Sample, said, e.People, e.Share, e.Drop, e.Interval,
				e.Weighted, e.P)
		}
		if err := t.Flush(); err != nil {
			return err
		}
		for _, e := range x.Moves {
			fmt.Fprintf(b, "\n%s: %s; p %s", e.Compared, strings.Join(e.Moves, ", "), e.P)
		}
		fmt.Fprintf(b, "\n%s\n\n", strings.Join(x.Below, "\n"))
	}
	return nil
}

// textExpected writes what was expected of names before tasting.
func textExpected(b *strings.Builder, p Page) error {
	if p.Expected == nil {
		return nil
	}
	const heading = "Expected before tasting (exploratory)"
	fmt.Fprintf(b, "%s\n%s\n\n", heading, strings.Repeat("-", len(heading)))
	fmt.Fprintf(b, "%s\n\n", strings.Join(p.Expected.Intro, "\n"))
	for _, x := range p.Expected.Said {
		fmt.Fprintln(b, x.Text)
	}
	b.WriteByte('\n')
	if err := textRows(b, p.Expected.Headings, p.Expected.Table); err != nil {
		return err
	}
	b.WriteByte('\n')
	if err := textWays(b, p.Expected); err != nil {
		return err
	}
	return textNumberTables(b, p.Expected.Asking)
}

func noteMarks(notes []int) string {
	marks := make([]string, len(notes))
	for i, n := range notes {
		marks[i] = fmt.Sprintf("[%d]", n)
	}
	return strings.Join(marks, "")
}

func textNotes(b *strings.Builder, p Page) {
	for _, n := range p.Notes {
		fmt.Fprintf(b, "[%d] %s\n", n.Number, n.Text)
	}
	if len(p.Notes) > 0 {
		b.WriteByte('\n')
	}
	for _, n := range p.Remarks {
		fmt.Fprintf(b, "Note: %s\n", n.Text)
	}
	for _, line := range p.Technical.Excluded {
		fmt.Fprintf(b, "Left out, %s.\n", line)
	}
	b.WriteByte('\n')
}

// line joins what a technical row has.
func (t TechRow) line() string {
	parts := []string{t.Value}
	for _, p := range []struct{ name, value string }{{"interval", t.Interval}, {"df", t.DF}, {"p", t.P}} {
		if p.value != none {
			parts = append(parts, p.name+" "+p.value)
		}
	}
	return strings.Join(parts, ", ")
}

func textTechnical(b *strings.Builder, p Page) {
	for _, r := range p.Tested() {
		fmt.Fprintf(b, "%s, %s (%s)\n", cmp.Or(r.Attribute, r.Ask), r.Pair, r.Role)
		for _, t := range r.Technical {
			fmt.Fprintf(b, "  %s: %s\n", t.What, t.line())
		}
	}
	b.WriteByte('\n')
	for _, f := range p.Technical.Facts {
		fmt.Fprintf(b, "%s: %s\n", f.What, f.Value)
	}
	hash := p.Technical.PlanHash
	if hash == "" {
		hash = "none"
	}
	fmt.Fprintf(b, "Plan hash: %s\n", hash)
}

// textAmounts writes what was found of amounts.
func textAmounts(b *strings.Builder, h Headings, rows []Row) error {
	if len(rows) == 0 {
		return nil
	}
	t := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "attribute\tfound\tn\tvalue\t%s\tp\tnotes\n", h.Interval)
	for _, r := range rows {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", r.Attribute, r.Compared, r.People, r.Difference, r.Interval,
			r.P, noteMarks(r.Notes))
	}
	return t.Flush()
}
