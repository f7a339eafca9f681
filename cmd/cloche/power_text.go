package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// writeText writes a size for people: the answer, the curve as a table, what it
// takes, and what it rests on.
func (a powerAnswer) writeText(w io.Writer) error {
	var b strings.Builder
	z := a.size
	if a.study != nil {
		fmt.Fprintf(&b, "%s\n\n", a.study.Title)
	}
	a.writeAsked(&b)
	a.writeNeeded(&b)
	if p := z.Planned; p.Assessors > 0 {
		fmt.Fprintf(&b, "The panel planned, %d: %s\n", p.Assessors, a.finds(p))
	}
	for _, x := range z.Ahead {
		if a.study != nil {
			fmt.Fprintln(&b, x.Words(a.study.AmountsIn, z.Request.Worth))
		}
	}
	a.writeBeside(&b)
	a.writeEarly(&b)
	a.writeLooking(&b)
	if z.Way != nil {
		a.writeWay(&b)
	}
	a.writeOtherWays(&b)
	a.writeCurve(&b)
	if err := a.writeCost(&b); err != nil {
		return err
	}
	fmt.Fprint(&b, "\nIt rests on:\n")
	for _, x := range z.Assumptions {
		fmt.Fprintf(&b, "  %s\n", x)
	}
	if len(z.Warnings) > 0 {
		fmt.Fprintln(&b)
	}
	for _, x := range z.Warnings {
		fmt.Fprintf(&b, "note (%s): %s\n", x.Code, x.Said)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (a powerAnswer) writeAsked(b *strings.Builder) {
	z, q := a.size, a.size.Request
	sides := map[study.Sides]string{study.Greater: ", one-sided", study.Less: ", one-sided"}[q.Sides]
	if sides == "" {
		sides = ", two-sided"
	}
	if q.Test.ShowsSameness() {
		sides = ""
	}
	fmt.Fprintf(b, "Test: %s%s, %s\n", q.Test, sides, risksOf(q))
	switch {
	case q.Distance > 0:
		fmt.Fprintf(b, "Looked for: a distance d′ of %s%s\n", analysis.Points(q.Distance), a.outcome())
	case q.Share > 0 && q.Alike:
		fmt.Fprintf(b, "To be shown: that fewer than %s taste the difference, which would make %s of the answers "+
			"right\n",
			analysis.Percent(q.Share), analysis.Percent(z.Effect))
	case q.Share > 0:
		c, _ := q.Test.Choice()
		fmt.Fprintf(b, "Looked for: a share of %s %s%s\n", analysis.Percent(q.Share), c.Who, a.outcome())
	case q.Difference > 0:
		what := "a difference of"
		if q.Test.ShowsSameness() {
			what = "that the samples differ by less than"
		}
		fmt.Fprintf(b, "Looked for: %s %s scale points, standardised %s\n", what, analysis.Points(q.Difference),
			analysis.Points(z.Effect))
	}
	if !q.Test.IsChoice() {
		fmt.Fprintf(b, "Spread: %s scale points (%s)\n", analysis.Points(q.Spread.SD), q.Spread.Words())
	}
}

// risksOf are the risks of a test.
func risksOf(q analysis.Sizing) string {
	if q.Alike {
		return fmt.Sprintf("alike at beta %s, different at alpha %s", analysis.Points(q.Beta), analysis.Points(q.Alpha))
	}
	return "alpha " + analysis.Points(q.Alpha)
}

// outcome says what share of the answers then count.
func (a powerAnswer) outcome() string {
	c, _ := a.size.Request.Test.Choice()
	if c.Outcome == "" || c.NoShare {
		return ""
	}
	return fmt.Sprintf(", so that %s of the answers %s", analysis.Percent(a.size.Effect), c.Outcome)
}

func (a powerAnswer) writeNeeded(b *strings.Builder) {
	z, q := a.size, a.size.Request
	n := z.Needed
	switch {
	case n.Assessors == 0:
		none := "open"
		if q.Difference > 0 || q.Share > 0 || q.Distance > 0 {
			none = "no panel has it"
		}
		fmt.Fprintf(b, "Assessors needed for %s power: %s, see the notes\n", analysis.Percent(q.Power), none)
		return
	case n.Comparisons != n.Assessors:
		fmt.Fprintf(b, "Assessors needed for %s power: %d, which makes %d %s\n", analysis.Percent(q.Power), n.Assessors,
			n.Comparisons, a.comparisons())
	default:
		fmt.Fprintf(b, "Assessors needed for %s power: %d\n", analysis.Percent(q.Power), n.Assessors)
	}
	if q.Block > 1 {
		fmt.Fprintf(b, "The next panel that completes its blocks of %d orders: %d\n", q.Block, z.Even)
	}
}

// comparisons names what an assessor brings.
func (a powerAnswer) comparisons() string {
	q := a.size.Request
	switch {
	case q.Test.IsChoice():
		return "answers"
	case q.Test == analysis.SizedTest(study.WelchT), q.Test == analysis.SizedTest(study.RankSum),
		q.Test == analysis.EquivalenceOfGroups, q.Test == analysis.OrdinalOfGroups:
		return "in each group"
	}
	return "pairs"
}

// finds says what one panel can do.
func (a powerAnswer) finds(p analysis.PanelPower) string {
	var parts []string
	if !math.IsNaN(p.Power) {
		parts = append(parts, "power "+a.size.Request.PowerWords(p.Power).String())
	}
	if a.size.Request.Shows(p) {
		finds := "finds %s or more with %s"
		if a.size.Request.Test.ShowsSameness() {
			finds = "shows a difference below %s with %s"
		}
		if a.size.Request.Alike {
			finds = "shows that fewer than %s taste it with %s"
		}
		parts = append(parts, fmt.Sprintf(finds, a.detects(p), analysis.Percent(a.size.Request.Power)))
	}
	if len(parts) == 0 {
		return "nothing can be found"
	}
	return strings.Join(parts, ", ")
}

// detects words the smallest difference that a panel finds.
func (a powerAnswer) detects(p analysis.PanelPower) string {
	q := a.size.Request
	switch {
	case !q.Shows(p):
		return "nothing"
	case q.SizedByDistance():
		return "d′ " + analysis.Points(p.Detects)
	case q.Test.IsChoice():
		if math.IsNaN(p.Distance) {
			return analysis.InPercentUp(p.Detects).String()
		}
		return fmt.Sprintf("%s (d′ %s)", analysis.InPercentUp(p.Detects), analysis.Points(p.Distance))
	}
	return analysis.Points(p.Detects) + " points"
}

// writeBeside writes what else the same study answers, and the panels that this takes.
func (a powerAnswer) writeBeside(b *strings.Builder) {
	z, q := a.size, a.size.Request
	if len(z.Beside) == 0 {
		return
	}
	fmt.Fprintf(b, "\nThe same study also finds, with %s power, from so many assessors "+
		"on:\n", analysis.Percent(q.Power))
	for _, x := range z.Beside {
		needed := strconv.Itoa(x.Needed)
		if x.Needed == 0 {
			needed = "none"
		}
		fmt.Fprintf(b, "%9s   %s%s\n", needed, x.What, besidePlanned(z, x))
	}
}

// writeEarly writes what a plan comes to that stops as soon as the answers decide.
func (a powerAnswer) writeEarly(b *strings.Builder) {
	for i, x := range a.size.Early {
		if i == 0 {
			fmt.Fprintf(b, "\nStopping as soon as the answers decide, after %d at the latest (exact):\n",
				a.size.Request.Assessors)
		}
		fmt.Fprintf(b, "%9.0f   answers on average when %s truly tell: told apart %s, unnoticed %s, open %s\n",
			math.Ceil(x.Mean), analysis.Percent(x.Share), analysis.Percent(x.Different), analysis.Percent(x.Similar),
			analysis.Percent(x.Open))
	}
}

// writeLooking writes what a plan of ratings comes to that looks before its end.
func (a powerAnswer) writeLooking(b *strings.Builder) {
	w := a.size.Looking
	if w == nil {
		return
	}
	fmt.Fprintf(b, "\nLooking early, with %d at the most (%d simulated studies):\n", w.Assessors, w.Studies)
	for _, x := range w.Rows {
		fmt.Fprintf(b, "%9.0f   people on average at a difference of %s points: found in %s, stops early in %s\n",
			math.Ceil(x.People-1e-9), analysis.Points(x.Difference), analysis.Percent(x.Found),
			analysis.Percent(x.Early))
	}
	fmt.Fprintf(b, "            %s\n", w.Words(a.size.Request))
}

// writeWay writes how well the share of the way from blind to expected would be known.
func (a powerAnswer) writeWay(b *strings.Builder) {
	w := a.size.Way
	fmt.Fprintf(b, "\nHow far a name draws. %s\n", w.Words())
	t := tabwriter.NewWriter(b, 0, 0, 3, ' ', tabwriter.AlignRight)
	fmt.Fprintf(t, "promises more by\ttwo ends\tknown to\tassessors for ± %s\t\n",
		analysis.Percent(analysis.WayWithin))
	for _, r := range w.Rows {
		for _, cell := range r.Cells() {
			fmt.Fprintf(t, "%s\t", cell)
		}
		fmt.Fprintln(t)
	}
	t.Flush()
	fmt.Fprintln(b, w.Rests())
}

// writeOtherWays writes what other questions take to find the same difference.
func (a powerAnswer) writeOtherWays(b *strings.Builder) {
	if len(a.size.OtherWays) == 0 {
		return
	}
	fmt.Fprintf(b, "\nOther ways to ask that find as large a difference (d′ = %.2f), each assessor asked "+
		"once:\n", a.size.AtDistance)
	named := false
	for _, w := range a.size.OtherWays {
		mark := ""
		if w.Named {
			mark, named = " *", true
		}
		fmt.Fprintf(b, "%9d   %s: %s%s (%d portions)\n", w.Needed, w.Question, w.Question.Kind().Title, mark,
			w.Portions())
	}
	if named {
		b.WriteString("            * names one thing, and beforehand which sample has more of it: finds nothing else\n")
	}
}

func besidePlanned(z *analysis.Size, x analysis.SizeBeside) string {
	var notes []string
	if !math.IsNaN(x.Planned) {
		notes = append(notes, fmt.Sprintf("power of the %d planned: %s", z.Planned.Assessors,
			z.Request.PowerWords(x.Planned)))
	}
	if x.Simulated {
		notes = append(notes, "simulated")
	}
	if len(notes) == 0 {
		return ""
	}
	return " (" + strings.Join(notes, "; ") + ")"
}

func (a powerAnswer) writeCurve(b *strings.Builder) {
	q := a.size.Request
	from := "finds from"
	if q.Test.ShowsSameness() || q.Alike {
		from = "shows less than"
	}
	fmt.Fprintln(b)
	t := tabwriter.NewWriter(b, 0, 0, 3, ' ', tabwriter.AlignRight)
	fmt.Fprintf(t, "assessors\tpower\t%s\t\n", from)
	for _, p := range a.size.Curve {
		power := "–"
		if !math.IsNaN(p.Power) {
			power = q.PowerWords(p.Power).String()
		}
		fmt.Fprintf(t, "%d\t%s\t%s\t\n", p.Assessors, power, a.detects(p))
	}
	t.Flush()
}

// writeCost writes what the panel planned and the one needed take.
func (a powerAnswer) writeCost(b *strings.Builder) error {
	if a.study == nil {
		return nil
	}
	var costs []analysis.Cost
	fmt.Fprintln(b)
	t := tabwriter.NewWriter(b, 0, 0, 3, ' ', tabwriter.AlignRight)
	fmt.Fprint(t, "what it takes\t")
	for _, x := range []struct {
		what string
		p    analysis.PanelPower
	}{{"planned", a.size.Planned}, {"needed", a.size.Needed}} {
		if x.p.Assessors == 0 {
			continue
		}
		c, err := analysis.CostOf(a.study, x.p.Assessors)
		if err != nil {
			return err
		}
		costs = append(costs, c)
		fmt.Fprintf(t, "%d %s\t", c.Assessors, x.what)
	}
	fmt.Fprintln(t)
	line := func(what string, value func(analysis.Cost) string) {
		fmt.Fprintf(t, "%s\t", what)
		for _, c := range costs {
			fmt.Fprintf(t, "%s\t", value(c))
		}
		fmt.Fprintln(t)
	}
	for i, d := range a.study.Dishes {
		line("portions of "+string(d.ID), func(c analysis.Cost) string { return fmt.Sprint(c.Dishes[i].Portions) })
	}
	line("spare portions at most", func(c analysis.Cost) string { return fmt.Sprint(c.Spares) })
	line("sittings", func(c analysis.Cost) string { return fmt.Sprint(c.Sittings) })
	line("plates each", func(c analysis.Cost) string { return fmt.Sprint(c.Plates) })
	line("minutes each, about", func(c analysis.Cost) string { return strconv.Itoa(c.Minutes) })
	return t.Flush()
}
