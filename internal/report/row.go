package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// pairKind tells comparisons of two samples within people.
var pairKind = kind{pairVerdict, pairAsked, pairRow, pairFigures}

// pairAsked says what the primary comparison is, of how many people.
func pairAsked(s *study.Study, f analysis.Finding) string {
	a, _ := s.Attribute(f.Attribute)
	c := contrastOf(s, f.Two())
	who := "rated by the same " + people(f.N).String()
	switch {
	case f.Measure == method.ModelDifference && f.N == 0:
		who = "which nobody rated"
	case f.Measure == method.ModelDifference:
		who = fmt.Sprintf("rated by %s, %s of them both", people(f.N), someOf(len(f.Pair.Each), f.N))
	case f.N == 0 && s.Serving.Design == study.One:
		who = "each rated by other people"
	case f.N == 0:
		who = "which nobody rated both"
	}
	same := ""
	if f.Verdict.Sameness {
		same = "are they practically the same? "
	}
	return fmt.Sprintf("Asked beforehand: “%s” — %s%s against %s%s, %s.", a.Ask, same, c.short[0], c.short[1],
		bracketed(c.shared), who)
}

// someOf counts some of all.
func someOf(n, all int) string {
	switch n {
	case 0:
		return "none"
	case all:
		return "all"
	}
	return strconv.Itoa(n)
}

func pairRow(s *study.Study, f analysis.Finding, v Verdict, notes *footnotes) Row {
	pair := fmt.Sprintf("%s − %s", f.Comparison[0], f.Comparison[1])
	return rowAs(s, f, rowNames{contrastOf(s, f.Two()).minus(), pair, v.Outcome == Clear}, notes)
}

// rowNames is how a row names what it compares, in words and in ids.
type rowNames struct {
	compared, pair string
	clear          bool
}

func rowAs(s *study.Study, f analysis.Finding, x rowNames, notes *footnotes) Row {
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale)
	r := Row{
		Ask: a.Ask, Compared: x.compared, Role: string(f.Role), N: f.N, People: strconv.Itoa(f.N),
		Attribute: string(f.Attribute), Pair: x.pair,
		MeanFirst: number(f.Pair.Means[0], n), MeanSecond: number(f.Pair.Means[1], n),
		Difference: signed(f.Value, n), Interval: statedText(f, n),
		Moved: fmt.Sprintf("%d / %d / %d", f.Pair.Moved.Up, f.Pair.Moved.Down, f.Pair.Moved.Same),
		P:     pValue(f.Test.Deciding()), Clear: x.clear,
	}
	r.Notes = notes.ofAll(f.Warnings)
	r.Technical = testRows(f)
	if f.Measure != method.MedianDifference { // which stands among the effects
		r.Technical = append(r.Technical, effectRow(analysis.Effect{Measure: f.Measure, Value: f.Value, CI: f.CI},
			s.Plan.Level(), n))
	}
	if f.EquivalenceCI.Level > 0 {
		r.Technical = append(r.Technical, TechRow{"Interval that is held against the smallest effect, to say " +
			"“practically the same”", none,
			fmt.Sprintf("%s (%s)", interval(f.EquivalenceCI, n+1), levelWords(f.EquivalenceCI.Level)), none, none})
	}
	if f.Adjusted.Level > 0 {
		r.Technical = append(r.Technical, TechRow{fmt.Sprintf("Interval adjusted for %d secondary findings",
			f.Family),
			none,
			fmt.Sprintf("%s (%s each)", interval(f.Adjusted, n+1), levelWords(f.Adjusted.Level)), none, none})
	}
	for _, e := range f.Effects {
		r.Technical = append(r.Technical, effectRow(e, s.Plan.Level(), n))
	}
	for _, k := range f.Checks {
		r.Technical = append(r.Technical, checkRow(k, n))
	}
	r.Excluded = exclusionLines(f.Excluded)
	return r
}

func testRows(f analysis.Finding) (rows []TechRow) {
	for _, t := range append([]analysis.Test{f.Test}, f.Also...) {
		rows = append(rows, testRow(t))
	}
	return rows
}

// statedText is the interval told with a finding.
func statedText(f analysis.Finding, n int) string { return interval(f.Stated(), n) + unadjustedMark(f) }

// unadjustedMark marks an interval that could not be adjusted while p is.
func unadjustedMark(f analysis.Finding) string {
	if ci := f.Stated(); f.Family > 0 && f.Adjusted.Level == 0 && !ci.Absent() {
		return fmt.Sprintf(" (%s, not adjusted)", levelWords(ci.Level))
	}
	return ""
}

// none stands where a line has no such number.
const none = "—"

func testRow(t analysis.Test) TechRow {
	r := TechRow{What: upperFirst(t.Title), Value: statisticText(t), Interval: none, DF: degrees(t.DF, t.DF2),
		P: exactP(t.P)}
	if !math.IsNaN(t.PAdjusted) {
		r.P += fmt.Sprintf(" (adjusted %s)", exactP(t.PAdjusted))
	}
	return r
}

// statisticText writes a statistic under its usual letter.
func statisticText(t analysis.Test) string {
	if math.IsNaN(t.Statistic) {
		return absent
	}
	switch symbol := method.Of(t.Method).Symbol; t.Method {
	case method.SignedRank, method.RankSum:
		return symbol + " = " + number(t.Statistic, 1)
	case method.Binomial, method.Similarity, method.Sequential, method.McNemar:
		return symbol + " = " + number(t.Statistic, 0)
	case method.Sign:
		return number(t.Statistic, 0) + " " + symbol
	default:
		return symbol + " = " + number(t.Statistic, 4)
	}
}

// degrees writes one or two degrees of freedom, none where the method has none.
func degrees(df, df2 float64) string {
	if math.IsNaN(df) {
		return none
	}
	text := strings.TrimSuffix(number(df, 1), ".0")
	if !math.IsNaN(df2) {
		text += ", " + strings.TrimSuffix(number(df2, 1), ".0")
	}
	return text
}

// effectRow writes an effect; the level of its interval is said when it is not
// the level of the study.
func effectRow(e analysis.Effect, level float64, n int) TechRow {
	digits := 3
	switch e.Measure {
	case method.MedianDifference:
		digits = n
	case method.MeanDifference, method.ModelDifference, method.AfterLooks, method.AtAnyMoment, method.HodgesLehmann,
		method.HodgesLehmannShift,
		method.HodgesLehmannWithin:
		digits = n + 1
	}
	text := interval(e.CI, digits)
	if !e.CI.Absent() && math.Abs(e.CI.Level-level) > 1e-9 {
		text += fmt.Sprintf(" (%s)", levelWords(e.CI.Level))
	}
	value := signed(e.Value, digits)
	if slices.Contains([]method.ID{method.Tellers, method.Superiority, method.OddsRatio, method.DPrime}, e.Measure) {
		value = number(e.Value, digits)
	}
	return TechRow{upperFirst(e.Measure.Title()), value, text, none, none}
}

func checkRow(k analysis.Check, n int) TechRow {
	r := TechRow{What: "Check, " + k.Title, Value: none, Interval: none, DF: degrees(k.DF, k.DF2), P: exactP(k.P)}
	if !math.IsNaN(k.Estimate) {
		r.Value, r.Interval = signed(k.Estimate, n), interval(k.CI, n)
	} else if !math.IsNaN(k.Statistic) {
		r.Value = method.Of(k.Method).Symbol + " = " + strings.TrimSuffix(number(k.Statistic, 3), ".000")
	}
	return r
}

func exclusionLines(list []analysis.Exclusion) []string {
	var out []string
	for _, e := range list {
		out = append(out, fmt.Sprintf("%d: %s", e.Count, e.Reason))
	}
	return out
}
