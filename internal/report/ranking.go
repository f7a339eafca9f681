package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// rankingKind tells in what order people put all samples.
var rankingKind = kind{rankingVerdict, rankingAsked, rankingRow, rankingFigures}

func rankingAsked(s *study.Study, f analysis.Finding) string {
	return fmt.Sprintf("Asked beforehand: “%s” — all %d samples, put in an order by %s.", s.TurnAsk(),
		len(f.Comparison),
		people(f.N))
}

// byPlace are the samples from the first place on.
func byPlace(f analysis.Finding) []analysis.RankedSample {
	sorted := slices.Clone(f.Ranking.Samples)
	slices.SortStableFunc(sorted, func(a, b analysis.RankedSample) int { return cmp.Compare(a.Sum, b.Sum) })
	return sorted
}

// rankingVerdict says whether the samples stand at all places alike, and which do not.
func rankingVerdict(s *study.Study, f analysis.Finding) []study.Said {
	sorted := byPlace(f)
	first, last := sorted[0], sorted[len(sorted)-1]
	ends := study.Say("%s stands first on average (mean place %s) and %s last (%s)", analysis.LabelSaid(s,
		first.Sample),
		figure(first.Mean, 1), analysis.LabelSaid(s, last.Sample), figure(last.Mean, 1))
	if first.Sum == last.Sum {
		ends = study.Say("all have the mean place %s", figure(first.Mean, 1))
	}
	all := study.Say("the %d samples", len(sorted))
	switch outcomeOf(f.Verdict) {
	case NoAnswer:
		return []study.Said{study.Say("Too few to say in what order %s stand: %s put them in one, and a verdict "+
			"takes at "+
			"least %d.", all, people(f.N), analysis.Fewest(s.Plan.Alpha)), study.Say("%s.", ends)}
	case Clear:
		if len(s.Plan.Expected) > 0 {
			return []study.Said{
				study.Say("%splaces follow the expected order on the whole: %s.", asOfAttribute(s, f), ends),
				endsOfTen(s, f, first, last), ranksApart(s, f), rankingActed(f), partners(rankingNumbers(f))}
		}
		clear := study.Say("People do not like %s alike: %s.", all, ends)
		if f.Attribute != "" {
			clear = study.Say("Asked “%s”, people do not put %s at all places alike: %s.", s.TurnAsk(), all, ends)
		}
		return []study.Said{clear, endsOfTen(s, f, first, last), ranksApart(s, f), rankingActed(f),
			partners(rankingNumbers(f))}
	}
	if len(s.Plan.Expected) > 0 {
		return []study.Said{
			study.Say("%sit was not shown that places follow the expected order: %s.", asOfAttribute(s, f), ends),
			rankingMargin(f), partners(rankingNumbers(f))}
	}
	open := study.Say("No clear order of %s: %s.", all, ends)
	if f.Attribute != "" {
		open = study.Say("Asked “%s”, there is no clear order of %s: %s.", s.TurnAsk(), all, ends)
	}
	return []study.Said{open, rankingMargin(f), partners(rankingNumbers(f))}
}

// asOfAttribute begins a sentence: what was asked, or that it was of liking.
func asOfAttribute(s *study.Study, f analysis.Finding) study.Said {
	if f.Attribute == "" {
		return study.Say("By liking, ")
	}
	return study.Say("Asked “%s”, ", s.TurnAsk())
}

// endsOfTen says how many put the first of all before the last.
func endsOfTen(s *study.Study, f analysis.Finding, first, last analysis.RankedSample) study.Said {
	for _, p := range f.Ranking.Pairs {
		before := p.Before
		switch {
		case p.First == first.Sample && p.Second == last.Sample:
		case p.First == last.Sample && p.Second == first.Sample:
			before = p.After
		default:
			continue
		}
		a, b := analysis.LabelSaid(s, first.Sample), analysis.LabelSaid(s, last.Sample)
		if before == f.N {
			return study.Say("Everybody puts %s before %s.", a, b)
		}
		return study.Say("Of ten people, %s put %s before %s.", aboutOfTen(float64(before)/float64(f.N)), a, b)
	}
	return study.Said{}
}

// ranksApart names the pairs of which clearly more people put the one first, the surest
// first.
func ranksApart(s *study.Study, f analysis.Finding) study.Said {
	var named []study.Said
	for _, p := range surestRanked(f) {
		if p.Test.PAdjusted < s.Plan.Alpha {
			if p.After > p.Before {
				p = turned(p)
			}
			named = append(named, study.Say("%s before %s (%d of %d)", analysis.LabelSaid(s, p.First),
				analysis.LabelSaid(s, p.Second), p.Before, p.Before+p.After))
		}
	}
	return pairsApart(named, len(f.Ranking.Pairs))
}

// surestRanked are the pairs by their adjusted p.
func surestRanked(f analysis.Finding) []analysis.RankedPair {
	pairs := slices.Clone(f.Ranking.Pairs)
	slices.SortStableFunc(pairs, func(a, b analysis.RankedPair) int {
		return cmp.Or(cmp.Compare(a.Test.PAdjusted, b.Test.PAdjusted),
			-cmp.Compare(math.Abs(a.Share-0.5), math.Abs(b.Share-0.5)))
	})
	return pairs
}

// rankingActed holds an order that was found against the share worth acting on.
func rankingActed(f analysis.Finding) study.Said {
	worth := peopleOf(0.5 + f.Verdict.Margin)
	switch v := f.Verdict; {
	case v.Margin <= 0:
		return study.Said{}
	case v.Code == analysis.DifferentAct:
		return study.Say("Of at least one pair it is clear that those who put the one first reach the %s that "+
			"the study set out to act on.", worth)
	case v.Code == analysis.DifferentSmall:
		return study.Say("Of every pair it is clear that those who put the one first are short of the %s that "+
			"the study set out to act on.", worth)
	}
	return study.Say("Whether any pair reaches the %s that the study set out to act on is open.", worth)
}

// rankingMargin says what it means that no order was found.
func rankingMargin(f analysis.Finding) study.Said {
	worth := peopleOf(0.5 + f.Verdict.Margin)
	switch v := f.Verdict; {
	case v.Code == analysis.Alike:
		return study.Say("Of no pair as many put the one first as the %s that the study set out to act on.", worth)
	case v.Margin > 0:
		return study.Say("That %s put one before another, as the study set out to act on, is still possible.", worth)
	}
	return study.Say("An order was not shown, and it was not ruled out either.")
}

func rankingNumbers(f analysis.Finding) string {
	return fmt.Sprintf("In numbers: %s, Kendall’s W %s; %s.", testInWords(f.Test), number(f.Ranking.W, 2),
		pPhrase(f.Test.Deciding()))
}

// testInWords is a test with its statistic: "Friedman test χ² = 12.30".
func testInWords(t analysis.Test) string {
	return t.Title + " " + strings.TrimSuffix(statisticText(t), "00")
}

// rankingRow is the row of all samples together.
func rankingRow(s *study.Study, f analysis.Finding, v Verdict, notes *footnotes) Row {
	var sums []string
	for _, x := range f.Ranking.Samples {
		sums = append(sums, fmt.Sprintf("%s %d", x.Sample, x.Sum))
	}
	r := Row{
		Ask: "Order", Compared: "all samples", Pair: "all", Attribute: string(f.Attribute), Role: string(f.Role),
		N: f.N, Counts: strings.Join(sums, " · "), Share: none, P: pValue(f.Test.Deciding()),
		Clear: v.Outcome == Clear, Notes: notes.ofAll(f.Warnings), Technical: testRows(f),
		Excluded: exclusionLines(f.Excluded),
	}
	r.Technical = append(r.Technical,
		TechRow{"Kendall’s W: how far people agree, from 0 to 1", number(f.Ranking.W, 3), none, none, none},
		TechRow{"Least significant difference of two rank sums at 5 %, z·√(n·k·(k+1)/6): ISO 8587",
			number(f.Ranking.LeastDifference, 2), none, none, none})
	for _, x := range f.Ranking.Samples {
		r.Technical = append(r.Technical, TechRow{fmt.Sprintf("%s: %s", x.Sample, x.Worth.Measure.Title()),
			number(x.Worth.Value, 3), interval(x.Worth.CI, 3), none, none})
	}
	for _, k := range f.Checks {
		r.Technical = append(r.Technical, checkRow(k, 0))
	}
	for _, p := range f.Ranking.Pairs {
		for _, t := range []analysis.Test{p.Test, p.Sums} {
			row := testRow(t)
			row.What = fmt.Sprintf("%s, %s: %s", p.First, p.Second, t.Title)
			r.Technical = append(r.Technical, row)
		}
	}
	return r
}

// rankedPairRows are the rows of the pairs, those told apart first.
func rankedPairRows(s *study.Study, f analysis.Finding) (rows []Row) {
	for _, p := range surestRanked(f) {
		if p.After > p.Before { // the one that more people put first is named first
			p = turned(p)
		}
		c := contrastOf(s, [2]study.SampleID{p.First, p.Second})
		rows = append(rows, Row{
			Compared: c.names()[0] + " before " + c.names()[1] + bracketed(c.shared).String(),
			Pair:     fmt.Sprintf("%s, %s", p.First, p.Second), N: p.Before + p.After,
			Counts: fmt.Sprintf("%d / %d", p.Before, p.After), Share: shareWords(p.Share),
			Interval: number(100*p.Adjusted.Lo, 0) + " to " + number(100*p.Adjusted.Hi, 0) + " %",
			P:        pValue(p.Test.PAdjusted), Clear: p.Test.PAdjusted < s.Plan.Alpha,
		})
	}
	return rows
}

// turned is a pair the other way round.
func turned(p analysis.RankedPair) analysis.RankedPair {
	p.First, p.Second, p.Before, p.After, p.Share = p.Second, p.First, p.After, p.Before, 1-p.Share
	p.Adjusted.Lo, p.Adjusted.Hi = 1-p.Adjusted.Hi, 1-p.Adjusted.Lo
	return p
}

// rankingBelow says how to read the rows of an order.
func rankingBelow(s *study.Study, f analysis.Finding) []string {
	pairs := len(f.Ranking.Pairs)
	lines := []string{
		"Counts of all samples are rank sums: the places of a sample, 1 the first, over all people. Counts of a " +
			"pair are " +
			"the people who put the first before the second, and after it.",
		fmt.Sprintf("p of the %d pairs is adjusted by %s, intervals by %s (%s each), so that all of them together "+
			"hold "+
			"the true shares with %s confidence.", pairs, method.Holm.Title(), method.Bonferroni.Title(),
			levelWords(1-s.Plan.Alpha/float64(pairs)), percent(s.Plan.Level())),
	}
	if d := f.Ranking.LeastDifference; !math.IsNaN(d) {
		lines = append(lines, fmt.Sprintf("Two rank sums that lie %s or more apart differ at 5 %%, each pair on "+
			"its own and "+
			"not adjusted (ISO 8587).", number(d, 1)))
	}
	return lines
}
