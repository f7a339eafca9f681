package report

import (
	"fmt"
	"math"
	"strings"
	"text/tabwriter"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// WayRow is how far one name drew the ratings of its dish, on one question. Difference and
// Interval are the share of the way, P is that of named minus blind.
type WayRow struct {
	Row
	Expected, Blind, Named string // means
}

// wayBelow says how to read the table of ways.
func wayBelow(level float64) []string {
	return []string{"Share of the way: named minus blind over expected minus blind, both on average over " +
		"everybody who did all three. 0 % is as rated blind, 100 % as expected; p is of whether it is 0 %.",
		"It is never reckoned person by person: the blind rating stands in both differences, and its chance errors " +
			"alone make them go together.",
		"Where expected and blind hardly differ no two ends hold the share with " + percent(level) +
			" confidence: then none is told."}
}

// addWays puts how far names drew ratings into the part on what was expected.
func (e *Expected) addWays(s *study.Study, all []analysis.Way, notes *footnotes) {
	for _, w := range all {
		e.Ways = append(e.Ways, wayRow(s, w, notes))
		if w.Attribute == s.Plan.Attribute && w.N > 0 {
			e.Said = append(e.Said, Said{outcomeOfWay(w), upperFirst(wayText(s, w).String())})
		}
	}
	if len(e.Ways) > 0 {
		e.WaysBelow = wayBelow(s.Plan.Level())
	}
}

func outcomeOfWay(w analysis.Way) Outcome {
	switch {
	case w.TooFew:
		return NoAnswer
	case w.Verdict == dose.PartOfTheWay, w.Verdict == dose.PerhapsAllTheWay, w.Verdict == dose.BeyondExpected,
		w.Verdict == dose.AwayFromExpected:
		return Clear
	}
	return Unclear
}

// wayShares writes a share of a way and the ends of its interval in percent, with as many
// decimals, up to two, as it takes so that no end looks like nothing, or the whole, that is not.
func wayShares(share float64, ci stats.Interval) (text, lo, hi string) {
	n := 0
	hides := func(v float64) bool {
		rounded := math.Round(100*v*math.Pow10(n)) / math.Pow10(n)
		return rounded == 0 && v != 0 || rounded == 100 && v != 1
	}
	for n < 2 && (hides(ci.Lo) || hides(ci.Hi)) {
		n++
	}
	return number(100*share, n), number(100*ci.Lo, n), number(100*ci.Hi, n)
}

// wayShare is the share of the way with its interval, in words; "" where it has none.
func wayShare(r dose.RatioResult) (share, ends string) {
	if r.Type != dose.Bounded {
		return "", ""
	}
	text, lo, hi := wayShares(r.Ratio, r.CI)
	return text + " %", lo + " to " + hi + " %"
}

// wayText says how far a name drew the ratings, from the interval of the share alone.
func wayText(s *study.Study, w analysis.Way) study.Said {
	a, _ := s.Attribute(w.Attribute)
	label, n := analysis.LabelSaid(s, w.Sample), decimalsFor(a.Scale)
	if w.TooFew {
		return study.Say("%s on “%s”: too few did all three, saying what they expect, tasting blind and under "+
			"the name, to "+
			"say how far the name drew the rating (%s).", label, a.Ask, people(w.N))
	}
	m := w.Gap
	if m.Value < 0 {
		m = turnedMean(m)
	}
	size, ends := study.Say("%s %s", figure(m.Value, n), pointsOf(a.Scale)), fromTo(m.CI, n)
	gap := study.Say("%s: %s expected %s more (%s) than they tasted blind on “%s”", label, people(w.N), size,
		ends, a.Ask)
	if w.Gap.Value < 0 {
		gap = study.Say("%s: %s expected %s less (%s) than they tasted blind on “%s”", label, people(w.N), size, ends,
			a.Ask)
	}
	if w.Fieller.Type != dose.Bounded {
		return study.Say("%s. That is not clear enough to say how far the name drew the rating (not estimable).", gap)
	}
	share, lo, hi := wayShares(w.Fieller.Ratio, w.Fieller.CI)
	far, reach := study.Say("%s %%", study.Figure(share)), study.Say("%s to %s %%", study.Figure(lo),
		study.Figure(hi))
	if w.Verdict == dose.AwayFromExpected {
		return study.Say("%s; with the name they moved the other way, by %s %s (%s of the way, %s): away from "+
			"what was "+
			"expected (contrast).", gap, figure(math.Abs(w.Moved.Value), n), pointsOf(a.Scale), far, reach)
	}
	with := study.Say("%s; with the name they moved %s of that way (%s)", gap, far, reach)
	switch w.Verdict {
	case dose.PartOfTheWay:
		return study.Say("%s: part of the way (assimilation).", with)
	case dose.PerhapsAllTheWay:
		return study.Say("%s: towards what was expected (assimilation), and possibly all the way, which this "+
			"does not "+
			"prove.", with)
	case dose.BeyondExpected:
		return study.Say("%s: past what was expected.", with)
	case dose.NoneOrPart:
		return study.Say("%s: not all of it; whether they moved at all is open.", with)
	case dose.AwayFromExpected, dose.WayUndecided, dose.WayNotEstimable:
	}
	return study.Say("%s: neither none of it nor all of it is ruled out.", with)
}

func turnedMean(m dose.MeanOfPeople) dose.MeanOfPeople {
	m.Value, m.CI = -m.Value, stats.Interval{Lo: -m.CI.Hi, Hi: -m.CI.Lo, Level: m.CI.Level}
	return m
}

func wayRow(s *study.Study, w analysis.Way, notes *footnotes) WayRow {
	a, _ := s.Attribute(w.Attribute)
	n := decimalsFor(a.Scale)
	label := analysis.Label(s, w.Sample)
	r := WayRow{Row{Ask: a.Ask, Attribute: string(w.Attribute), Compared: label, Role: string(analysis.Exploratory),
		Pair: fmt.Sprintf("%s, share of the way", w.Sample), N: w.N, People: fmt.Sprint(w.N), Difference: none,
		Interval: wayEnds(w.Fieller), P: pValue(w.Moved.P), Clear: outcomeOfWay(w) == Clear,
		Notes: notes.ofAll(w.Warnings), Excluded: exclusionLines(w.Excluded)},
		number(w.Expected.Value, n), number(w.Blind.Value, n), number(w.Informed.Value, n)}
	if share, ends := wayShare(w.Fieller); share != "" {
		r.Difference, r.Interval = share, ends
	}
	for _, x := range []struct {
		what string
		m    dose.MeanOfPeople
	}{{"Named minus blind", w.Moved}, {"Expected minus blind", w.Gap}, {"Named minus expected", w.Left}} {
		r.Technical = append(r.Technical, TechRow{x.what + ", t", signed(x.m.T, 3) + "; " + signed(x.m.Value, n+1),
			interval(x.m.CI, n+1), degrees(x.m.DF, math.NaN()), exactP(x.m.P)})
	}
	r.Technical = append(r.Technical, TechRow{fmt.Sprintf("%s, %s", upperFirst(method.ShareOfWay.Title()),
		shapeWords(w.Fieller.Type)), number(w.Fieller.Ratio, 4), setText(fiellerOf(w.Fieller), 4), none, none})
	return r
}

func fiellerOf(r dose.RatioResult) analysis.Fieller {
	return analysis.Fieller{Shape: r.Type, CI: r.CI, Excluded: r.Excluded}
}

// wayEnds is the confidence set of a share that has no two ends, as the table has it.
func wayEnds(r dose.RatioResult) string {
	if math.IsNaN(r.Ratio) {
		return absent
	}
	return "not to be told"
}

// shapeWords says what a confidence set looks like.
func shapeWords(x dose.RatioShape) string {
	switch x {
	case dose.Bounded:
		return "interval"
	case dose.TwoRays:
		return "all but a stretch"
	case dose.OneRay:
		return "one end"
	case dose.WholeLine:
	}
	return "unbounded"
}

// textWays writes the table of ways for a terminal.
func textWays(b *strings.Builder, e *Expected) error {
	if len(e.Ways) == 0 {
		return nil
	}
	t := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "question\tname\tpeople\texpected\tblind\tnamed\tshare of the way\tp")
	for _, w := range e.Ways {
		share := w.Difference + " (" + w.Interval + ")"
		if w.Difference == none {
			share = w.Interval
		}
		fmt.Fprintf(t, "%s\t%s\t%d\t%s\t%s\t%s\t%s%s\t%s\n", w.Attribute, w.Compared, w.N, w.Expected, w.Blind,
			w.Named,
			share, noteMarks(w.Notes), w.P)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(b, "%s\n\n", strings.Join(e.WaysBelow, "\n"))
	return nil
}
