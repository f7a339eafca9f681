package design

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"cloche/internal/study"
)

// WriteText writes the balance report as plain text.
func (b *Balance) WriteText(w io.Writer) error {
	out := &report{tab: tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)}
	b.writeSittings(out)
	b.writePositions(out)
	b.writeFollowing(out)
	b.writeOrders(out)
	b.writePrefixes(out)
	b.writeGuess(out)
	b.writeBlocks(out)
	b.writeStrata(out)
	b.writeCodes(out)
	b.writePortions(out)
	for _, x := range b.Warnings {
		out.line("")
		out.line("Note (%s): %s", x.Code, x.Text)
	}
	if out.err != nil {
		return fmt.Errorf("write balance report: %w", out.err)
	}
	return nil
}

// report writes lines and tables and keeps the first error.
type report struct {
	tab *tabwriter.Writer
	err error
}

func (r *report) line(format string, values ...any) {
	r.flush()
	if _, err := fmt.Fprintf(r.tab, format+"\n", values...); err != nil && r.err == nil {
		r.err = err
	}
	r.flush()
}

func (r *report) row(cells ...any) {
	for _, c := range cells {
		if _, err := fmt.Fprintf(r.tab, "%v\t", c); err != nil && r.err == nil {
			r.err = err
		}
	}
	if _, err := fmt.Fprintln(r.tab); err != nil && r.err == nil {
		r.err = err
	}
}

func (r *report) flush() {
	if err := r.tab.Flush(); err != nil && r.err == nil {
		r.err = err
	}
}

func (r *report) title(format string, values ...any) {
	r.line("")
	r.line(format, values...)
}

func (b *Balance) writeSittings(out *report) {
	out.line("Balance of the serving plan: %d assessors, %d samples", b.Assessors, len(b.Samples))
	out.title("Sittings")
	out.row("sitting", "assessors", "plates")
	for _, s := range b.Sittings {
		out.row(s.Sitting, s.Assessors, s.Plates)
	}
	out.flush()
}

func (b *Balance) writePositions(out *report) {
	out.title("Times each sample stands at each position")
	head := []any{"sample"}
	for j := range b.Positions[0] {
		head = append(head, j+1)
	}
	out.row(append(head, "in all")...)
	for i, counts := range b.Positions {
		out.row(append(append([]any{b.Samples[i]}, anyOf(counts)...), b.Served[i])...)
	}
	out.flush()
}

func anyOf(counts []int) []any {
	cells := make([]any, len(counts))
	for i, n := range counts {
		cells[i] = n
	}
	return cells
}

func (b *Balance) writeFollowing(out *report) {
	out.title("Times the sample of the column comes next after the sample of the row, at one sitting")
	head := []any{"after"}
	for _, id := range b.Samples {
		head = append(head, id)
	}
	out.row(head...)
	for i, counts := range b.Following {
		out.row(append([]any{b.Samples[i]}, anyOf(counts)...)...)
	}
	out.flush()
}

func (b *Balance) writeOrders(out *report) {
	if len(b.Orders) == 0 {
		return
	}
	letters := fmt.Sprintf("A is %s, B is %s", b.Samples[0], b.Samples[1])
	if len(b.Samples) > 2 {
		letters = fmt.Sprintf("A is %s, the others follow in the order of the study", b.Samples[0])
	}
	out.title("Times each order is served (%s)", letters)
	for _, o := range b.Orders {
		out.row(o.Order, o.Times)
	}
	out.flush()
}

func (b *Balance) writePrefixes(out *report) {
	out.title("If the tasting stops early: largest difference between two samples, whenever it stops")
	out.row("in", "at worst", "at the end", "even after this many assessors")
	out.row("times served", b.Prefix.WorstServed, last(b.Prefix.Served), evenAfter(b.Prefix.Served))
	out.row("times at a position", b.Prefix.WorstPosition, last(b.Prefix.Positions), evenAfter(b.Prefix.Positions))
	out.row("ordered pairs", b.Prefix.WorstPair, last(b.Prefix.Following), evenAfter(b.Prefix.Following))
	out.flush()
}

// writeGuess says how often the next order can be guessed, and what blocks of
// another size would make of it.
func (b *Balance) writeGuess(out *report) {
	g := b.Guess
	out.title("Guessing: whoever has seen every earlier order of a block, and knows how blocks are made,")
	out.line("can guess the next order at most %s times in 100.", hundredths(g.Chance))
	switch {
	case g.Random == 0:
		out.line("Orders are drawn by minimisation, without blocks.")
	case g.Mixed:
		out.line("Blocks are of random size; with blocks of fixed size it would be %s.", hundredths(g.Fixed))
	default:
		out.line("Blocks are of fixed size; with “blocks: random” under serving it would be %s.", hundredths(g.Random))
	}
}

// hundredths words a chance; it never rounds to certainty.
func hundredths(chance float64) string {
	if chance > 0.99 && chance < 1 {
		return "99"
	}
	return fmt.Sprintf("%.0f", 100*chance)
}

func last(curve []int) int { return curve[len(curve)-1] }

// evenAfter lists where a curve is zero, shortened.
func evenAfter(curve []int) string {
	const most = 6
	var at []string
	for i, n := range curve {
		if n != 0 {
			continue
		}
		if len(at) == most {
			at = append(at, "…")
			break
		}
		at = append(at, fmt.Sprint(i+1))
	}
	if len(at) == 0 {
		return "never"
	}
	return strings.Join(at, ", ")
}

func (b *Balance) writeBlocks(out *report) {
	x := b.Blocks
	if x == nil {
		return
	}
	out.title("Incomplete blocks: t = %d samples, k = %d to each of b = %d assessors", x.T, x.K, x.B)
	out.line("r, times a sample is served to somebody: %v", x.R)
	out.line("λ, assessors who get both of two samples: %v", x.Lambda)
	out.line("efficiency factor E = %.4f (1 = as good as complete blocks of the same replication)", x.Efficiency)
	if x.Balanced {
		out.line("The design is balanced.")
	} else if x.Left > 0 {
		out.line("The design is not balanced. It repeats every %d assessors: %d more would complete a repeat.",
			x.Period, x.Left)
	} else {
		out.line("The design is not balanced: it is the best that was found.")
	}
	out.line("How it was built: %s", x.Method)
}

// String words a spread: one number, or two.
func (s Spread) String() string {
	if s.Equal() {
		return fmt.Sprint(s.Min)
	}
	return fmt.Sprintf("%d to %d", s.Min, s.Max)
}

func (b *Balance) writeStrata(out *report) {
	if len(b.Strata) == 0 {
		return
	}
	out.title("Times each sample is served within each stratum")
	head := []any{"stratum", "assessors"}
	for _, id := range b.Samples {
		head = append(head, id)
	}
	out.row(head...)
	for _, x := range b.Strata {
		out.row(append([]any{strings.Join(x.Levels, ", "), x.Assessors}, anyOf(x.Served)...)...)
	}
	out.flush()
}

func (b *Balance) writeCodes(out *report) {
	out.title("Blinding codes: at most %d of %d used at one sitting, %d used twice", b.Codes.Used, b.Codes.Allowed,
		b.Codes.Collisions)
}

func (b *Balance) writePortions(out *report) {
	out.title("Portions for the kitchen: wave n is everybody's n-th plate")
	head := []any{"sitting", "wave"}
	column := map[study.DishID]int{}
	for i, d := range b.Dishes {
		head = append(head, d.Dish)
		column[d.Dish] = i
	}
	out.row(head...)
	for at := 0; at < len(b.Portions); {
		first := b.Portions[at]
		counts := make([]int, len(b.Dishes))
		for ; at < len(b.Portions) && b.Portions[at].Sitting == first.Sitting &&
			b.Portions[at].Wave == first.Wave; at++ {
			counts[column[b.Portions[at].Dish]] = b.Portions[at].Portions
		}
		out.row(append([]any{first.Sitting, first.Wave}, anyOf(counts)...)...)
	}
	totals := make([]int, len(b.Dishes))
	for i, d := range b.Dishes {
		totals[i] = d.Portions
	}
	out.row(append([]any{"in all", ""}, anyOf(totals)...)...)
	out.flush()
}
