package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// panelKind tells comparisons of all samples.
var panelKind = kind{panelVerdict, panelAsked, panelRow, panelFigures}

// Panel is the part of the page on all samples together, on one attribute.
type Panel struct {
	Row
	Simulated bool // as [Page.Simulated]
	Said      Said
	Samples   []PanelSample
	Pairs     []PanelPair // those told apart first
	Below     []string
}

// PanelSample is a sample in the table of a panel.
type PanelSample struct{ Label, N, Mean, Interval, Letters string }

// PanelPair is a pair in the table of a panel.
type PanelPair struct {
	Compared, Difference, Interval, WithCarryOver, P string
	Clear                                            bool
}

func panelAsked(s *study.Study, f analysis.Finding) string {
	a, _ := s.Attribute(f.Attribute)
	return fmt.Sprintf("Asked beforehand: “%s” — all %d samples, rated by %s.", a.Ask, len(f.Comparison), people(f.N))
}

// byMean are the estimates from the highest mean on.
func byMean(f analysis.Finding) []analysis.SampleEstimate {
	sorted := slices.Clone(f.Panel.Estimates)
	slices.SortStableFunc(sorted, func(a, b analysis.SampleEstimate) int { return cmp.Compare(b.Mean, a.Mean) })
	return sorted
}

// panelVerdict says whether all samples are alike, and which are not.
func panelVerdict(s *study.Study, f analysis.Finding) []study.Said {
	a, _ := s.Attribute(f.Attribute)
	k := len(f.Panel.Estimates)
	if k == 0 {
		return []study.Said{study.Say("No answer on “%s”: too little was rated to compare all of them.", a.Ask)}
	}
	sorted := byMean(f)
	top, bottom := sorted[0], sorted[k-1]
	name := func(e analysis.SampleEstimate) study.Said { return analysis.LabelSaid(s, e.Sample) }
	n := decimalsFor(a.Scale)
	ends := study.Say("%s has the highest mean (%s) and %s the lowest (%s), in %s", name(top), figure(top.Mean, n),
		name(bottom), figure(bottom.Mean, n), pointsOf(a.Scale))
	switch outcomeOf(f.Verdict) {
	case NoAnswer:
		return []study.Said{study.Say("Too few to say on “%s”: %s rated the samples, and a verdict takes at "+
			"least %d.",
			a.Ask, people(f.N), analysis.Fewest(s.Plan.Alpha)), study.Say("%s.", ends)}
	case Clear:
		return []study.Said{study.Say("%sthe %d samples are not all alike on “%s”: %s.", onTheSide(f), k,
			a.Ask,
			ends), toldApart(s, f),
			panelActed(f)}
	}
	if top.Mean == bottom.Mean {
		ends = study.Say("all have the mean %s, in %s", figure(top.Mean, n), pointsOf(a.Scale))
	}
	return []study.Said{study.Say("No clear difference among the %d samples on “%s”: %s.", k, a.Ask, ends),
		panelMargin(f)}
}

// mostPairs is how many pairs a sentence names; the table has them all.
const mostPairs = 6

// toldApart names the pairs that are told apart at alpha, the surest first.
func toldApart(s *study.Study, f analysis.Finding) study.Said {
	var named []study.Said
	for _, p := range surestFirst(f) {
		if p.Test.PAdjusted < s.Plan.Alpha {
			first, second := p.First, p.Second
			if higherSecond(p) {
				first, second = second, first
			}
			named = append(named, study.Say("%s above %s", analysis.LabelSaid(s, first), analysis.LabelSaid(s,
				second)))
		}
	}
	return pairsApart(named, len(f.Panel.Pairs))
}

// pairsApart names pairs that are told apart, of all that there are.
func pairsApart(named []study.Said, all int) study.Said {
	switch left := all - len(named); {
	case len(named) == 0:
		return study.Say("No single pair is told apart once all pairs are allowed for.")
	case len(named) > mostPairs:
		return study.Say("Told apart: %s and %d more of the %d pairs.", inOrder(named[:mostPairs], "; "),
			len(named)-mostPairs, all)
	case left == 0:
		return study.Say("Told apart: %s. That is every pair.", inOrder(named, "; "))
	case left == 1:
		return study.Say("Told apart: %s. The other pair is not.", inOrder(named, "; "))
	default:
		return study.Say("Told apart: %s. The other %d pairs are not.", inOrder(named, "; "), left)
	}
}

// higherSecond reports whether the second sample of a pair stands higher in what was
// tested: means, or ranks.
func higherSecond(p analysis.PanelPair) bool { return p.Test.Statistic < 0 }

// surestFirst are the pairs by their adjusted p.
func surestFirst(f analysis.Finding) []analysis.PanelPair {
	pairs := slices.Clone(f.Panel.Pairs)
	slices.SortStableFunc(pairs, func(a, b analysis.PanelPair) int {
		return cmp.Or(cmp.Compare(orOne(a.Test.PAdjusted), orOne(b.Test.PAdjusted)),
			-cmp.Compare(math.Abs(a.Test.Statistic), math.Abs(b.Test.Statistic)))
	})
	return pairs
}

func orOne(p float64) float64 {
	if math.IsNaN(p) {
		return 1
	}
	return p
}

func panelActed(f analysis.Finding) study.Said {
	switch v := f.Verdict; {
	case v.Margin <= 0:
		return study.Said{}
	case v.Code == analysis.DifferentAct && f.Role == analysis.Secondary:
		return study.Say("If that holds up, at least one pair differs by %s, or more.", setOut(v.Margin))
	case v.Code == analysis.DifferentAct:
		return study.Say("At least one pair differs by %s, or more.", setOut(v.Margin))
	case v.Code == analysis.DifferentSmall:
		return study.Say("Every pair differs by less than %s.", setOut(v.Margin))
	default:
		return study.Say("Whether any pair reaches %s is open.", setOut(v.Margin))
	}
}

func panelMargin(f analysis.Finding) study.Said {
	switch v := f.Verdict; {
	case v.Code == analysis.Alike:
		return study.Say("Any two differ by less than %s: all are practically the same.", setOut(v.Margin))
	case v.Margin > 0:
		return study.Say("Differences of %s are still possible: this does not show that they are the same.",
			setOut(v.Margin))
	}
	return study.Say("A difference was not shown, and it was not ruled out either.")
}

// panelRow is the technical part of a panel, with what its table says beside the samples.
func panelRow(s *study.Study, f analysis.Finding, v Verdict, notes *footnotes) Row {
	a, _ := s.Attribute(f.Attribute)
	r := Row{
		Ask: a.Ask, Compared: "all samples", Attribute: string(f.Attribute), Pair: "all", Role: string(f.Role),
		N: f.N,
		P: pValue(f.Test.Deciding()), Clear: v.Outcome == Clear, Notes: notes.ofAll(f.Warnings),
		Technical: testRows(f),
		Excluded:  exclusionLines(f.Excluded),
	}
	for _, k := range f.Checks {
		r.Technical = append(r.Technical, checkRow(k, decimalsFor(a.Scale)))
	}
	return r
}

// panelOf is the part of the page of a panel finding.
func panelOf(s *study.Study, f analysis.Finding, r Row, v Verdict) Panel {
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale)
	p := Panel{Row: r, Said: Said{v.Outcome, v.Text()}}
	for _, e := range byMean(f) {
		p.Samples = append(p.Samples, PanelSample{analysis.Label(s, e.Sample), fmt.Sprint(e.N), number(e.Mean, n),
			interval(e.CI, n), lettersText(e.Letters)})
	}
	for _, x := range surestFirst(f) {
		ci := x.Adjusted
		if ci.Absent() {
			ci = x.CI
		}
		line := PanelPair{analysis.Label(s, x.First) + " minus " + analysis.Label(s, x.Second),
			signed(x.Difference, n),
			interval(ci, n), none,
			pValue(x.Test.PAdjusted), x.Test.PAdjusted < s.Plan.Alpha}
		if !math.IsNaN(x.WithCarryOver) {
			line.WithCarryOver = fmt.Sprintf("%s (%s)", signed(x.WithCarryOver, n), interval(x.WithCarryOverCI, n))
		}
		p.Pairs = append(p.Pairs, line)
	}
	p.Below = panelBelow(s, f)
	return p
}

func lettersText(letters string) string {
	if letters == "" {
		return none
	}
	return letters
}

// panelBelow says how to read the tables of a panel.
func panelBelow(s *study.Study, f analysis.Finding) []string {
	if len(f.Panel.Estimates) == 0 {
		return nil
	}
	level := percent(s.Plan.Level())
	lines := []string{fmt.Sprintf("Samples that share a letter are not told apart. Means and their %s intervals "+
		"are those of a model that allows for the person and, where it is known, the position.", level)}
	lines = append(lines, randomLines(s, f)...)
	if f.Panel.Adjustment == method.Holm {
		lines = append(lines, fmt.Sprintf("Pairs are compared by ranks, p adjusted by %s; the differences and "+
			"their %s intervals, each on its own, are those of the model.", method.Holm.Title(), level))
	} else {
		lines = append(lines, fmt.Sprintf("p and intervals of the pairs are adjusted for all pairs by %s: together "+
			"they hold the true differences with %s confidence.", method.Tukey.Title(), level))
	}
	if f.Family > 1 {
		lines = append(lines, fmt.Sprintf("The p of all samples is adjusted by %s for the %d questions that are "+
			"asked so.", method.Holm.Title(), f.Family))
	}
	return lines
}
