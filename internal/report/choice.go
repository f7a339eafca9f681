package report

import (
	"fmt"
	"math"

	"cloche/internal/analysis"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// choiceKind tells what people chose among servings.
var choiceKind = kind{choiceVerdict, choiceAsked, choiceRow, choiceFigures}

func choiceFigures(v voice, s *study.Study, _ *analysis.Result, f analysis.Finding) []Figure {
	if f.Choice.Preferred != nil {
		return preferredFigures(v, s, f)
	}
	if f.Choice.Said != nil {
		return []Figure{saidFigure(s, f)}
	}
	if f.Choice.Told.Early != nil {
		return []Figure{earlyFigure(f)}
	}
	return []Figure{toldFigure(v, s, f)}
}

// choiceVerdict says how many chose, and whether that is more than chance gives.
func choiceVerdict(s *study.Study, f analysis.Finding) []study.Said {
	switch {
	case f.Choice.Said != nil:
		return saidVerdict(s, f)
	case f.Choice.Told != nil:
		return toldVerdict(s, f)
	case f.Attribute != "":
		return moreOfVerdict(s, f)
	}
	return preferenceVerdict(s, f)
}

func preferenceVerdict(s *study.Study, f analysis.Finding) []study.Said {
	p, c := f.Choice.Preferred, contrastOf(s, f.Two())
	chose := study.Say("%d of %s with a preference chose %s, %d chose %s", p.First, answerers(f, p.First+p.Second),
		c.short[0], p.Second, c.short[1])
	none := undecidedText(f)
	switch outcomeOf(f.Verdict) {
	case NoAnswer:
		return []study.Said{study.Say("Too few to say which is liked better, %s: a verdict takes %d answers with a "+
			"preference.", c.between(), analysis.Fewest(s.Plan.Alpha)),
			study.Say("%s.", chose), none}
	case Clear:
		liked, other, share := c.short[0], c.short[1], f.Value
		if f.Verdict.Direction < 0 {
			liked, other, share = other, liked, 1-f.Value
		}
		return []study.Said{study.Say("More people like %s better than %s%s: about %d of a hundred who have a "+
			"preference.",
			liked, other, bracketed(c.shared), moreOfHundred(share)),
			study.Say("%s.", chose), none, preferenceWorth(f), partners(shareText(f))}
	}
	return []study.Said{study.Say("No clear preference between %s.", c.between()), study.Say("%s.", chose), none,
		preferenceOpen(f), partners(shareText(f))}
}

// answerers are people, or answers where each person gave several.
func answerers(f analysis.Finding, n int) study.Said {
	if f.Choice.People > 0 && f.Choice.People < f.N {
		return study.Say("%s by %s", answers(n), people(f.Choice.People))
	}
	return people(n)
}

// undecidedText says what became of those without a preference; "" when there were none.
func undecidedText(f analysis.Finding) study.Said {
	p := f.Choice.Preferred
	switch {
	case p.None == 0:
		return study.Said{}
	case p.Split > 0:
		return study.Say("Without a preference: %s; as planned, counted half for each side: %d.",
			answerers(f, p.None), p.Split)
	}
	without := people(p.None)
	if f.Choice.People > 0 && f.Choice.People < f.N {
		without = answers(p.None)
	}
	return study.Say("Without a preference, and counted neither for nor against: %s.", without)
}

// preferenceWorth holds a preference that was found against the share worth acting on.
func preferenceWorth(f analysis.Finding) study.Said {
	worth := peopleOf(f.Choice.Chance + f.Verdict.Margin)
	switch f.Verdict.Code {
	case analysis.DifferentAct:
		return study.Say("It is clear that it reaches the %s that the study set out to act on.", worth)
	case analysis.DifferentSmall:
		return study.Say("There is a preference, and it is clear that it is short of the %s that the study set "+
			"out to act on.", worth)
	}
	if f.Verdict.Margin <= 0 {
		return study.Said{}
	}
	return study.Say("Whether it reaches the %s that the study set out to act on is open.", worth)
}

// preferenceOpen says what it means that no preference was found.
func preferenceOpen(f analysis.Finding) study.Said {
	worth := peopleOf(f.Choice.Chance + f.Verdict.Margin)
	switch {
	case f.Verdict.Code == analysis.Alike:
		return study.Say("Any preference is smaller than the %s that the study set out to act on.", worth)
	case f.Verdict.Margin > 0:
		return study.Say("A preference of the %s that the study set out to act on is still possible.", worth)
	}
	return study.Say("A preference was not shown, and it was not ruled out either.")
}

// peopleOf is a share as people: of ten where that is exact, else of a hundred.
func peopleOf(share float64) study.Said {
	if math.Abs(10*share-math.Round(10*share)) < 1e-9 {
		return study.Say("%d of ten people", ofTen(share))
	}
	return study.Say("%s of a hundred people", figure(100*share, 0))
}

// shareText gives the share in numbers, with its interval, after all that is said in
// plain words.
func shareText(f analysis.Finding) string {
	return fmt.Sprintf("In numbers: %s; %s interval %s; %s.", shareWords(f.Value), levelWords(f.CI.Level),
		shareInterval(f),
		pPhrase(f.Test.Deciding()))
}

func shareWords(v float64) string { return number(100*v, 0) + " %" }

func shareInterval(f analysis.Finding) string {
	if f.CI.Absent() {
		return absent
	}
	return number(100*f.CI.Lo, 0) + " to " + number(100*f.CI.Hi, 0) + " %"
}

// moreOfVerdict says which of two was chosen as the one with more of something.
func moreOfVerdict(s *study.Study, f analysis.Finding) []study.Said {
	p, c, ask := f.Choice.Preferred, contrastOf(s, f.Two()), s.TurnAsk()
	chose := study.Say("%d of %s chose %s, %d chose %s", p.First, answerers(f, p.First+p.Second), c.short[0],
		p.Second, c.short[1])
	switch outcomeOf(f.Verdict) {
	case NoAnswer:
		return []study.Said{study.Say("Too few to say “%s” of %s: a verdict takes %d answers.", ask, c.between(),
			analysis.Fewest(s.Plan.Alpha)), study.Say("%s.", chose)}
	case Clear:
		most, other, share := c.short[0], c.short[1], f.Value
		if f.Verdict.Direction < 0 {
			most, other, share = other, most, 1-f.Value
		}
		return []study.Said{study.Say("Asked “%s”, more people choose %s than %s%s: about %d of a hundred.", ask, most,
			other, bracketed(c.shared), moreOfHundred(share)), study.Say("%s.", chose), partners(shareText(f))}
	}
	return []study.Said{study.Say("Asked “%s”, there is no clear answer: %s.", ask, c.between()),
		study.Say("%s.", chose), study.Say("A difference was not shown, and it was not ruled out either."),
		partners(shareText(f))}
}

// toldVerdict says whether people tell two samples apart, by right answers.
func toldVerdict(s *study.Study, f analysis.Finding) []study.Said {
	c := contrastOf(s, f.Two())
	tell := study.Say("tell %s from %s%s", c.short[0], c.short[1], bracketed(c.shared))
	if f.Attribute != "" {
		tell = study.Say("find %s%s when asked “%s”", c.short[0], bracketed(c.shared), s.TurnAsk())
	}
	right := rightText(f)
	if f.Choice.Told.Early != nil {
		return earlyVerdict(f, tell)
	}
	if f.Choice.Told.Alike != nil {
		return alikeVerdict(s, f, tell, right)
	}
	switch outcomeOf(f.Verdict) {
	case NoAnswer:
		return []study.Said{study.Say("Too few answers to say whether people %s: a verdict takes %d.", tell,
			analysis.Fewest(s.Plan.Alpha)), right}
	case Clear:
		return []study.Said{study.Say("People %s.", tell), tellersText(f.Choice.Told.Tellers.Value), right,
			partners(toldNumbers(f))}
	}
	return []study.Said{study.Say("It was not shown that people %s.", tell), right,
		mightTell(f.Choice.Told.Tellers.CI),
		partners(toldNumbers(f))}
}

// mightTell says how many may truly tell for all that the answers show.
func mightTell(ci stats.Interval) study.Said {
	switch most := int(math.Ceil(10*ci.Hi - 1e-9)); {
	case ci.Absent():
		return study.Say("It was not ruled out either.")
	case most <= 0:
		return study.Say("It was not ruled out either, but hardly anybody does.")
	case most >= 10:
		return study.Say("It was not ruled out either: it may even be that nearly everybody truly tells.")
	default:
		return study.Say("It was not ruled out either: up to %d of ten people may truly tell.", most)
	}
}

// toldNumbers gives the share of right answers beside that of guessing.
func toldNumbers(f analysis.Finding) string {
	return fmt.Sprintf("%s Guessing gives %s.", shareText(f), shareWords(f.Choice.Chance))
}

func answers(n int) study.Said {
	if n == 1 {
		return study.Say("1 answer")
	}
	return study.Say("%d answers", n)
}

// saidVerdict says whether people tell two samples apart, by what they said of them.
func saidVerdict(s *study.Study, f analysis.Finding) []study.Said {
	c, said, kinds := contrastOf(s, f.Two()), f.Choice.Said, saidKinds(s, f)
	tell := study.Say("tell %s from %s%s", c.short[0], c.short[1], bracketed(c.shared))
	var of []study.Said
	for i, n := range [2][2]int{{said.X1, said.N1}, {said.X2, said.N2}} {
		if n[1] > 0 {
			of = append(of, study.Say("of %d of %d %s", n[0], n[1], kinds[i]))
		}
	}
	counts := study.Say("“%s” was said %s.", s.SayWords()[0], both(of))
	switch outcomeOf(f.Verdict) {
	case NoAnswer:
		return []study.Said{study.Say("Too few answers to say whether people %s: a verdict takes %d.", tell,
			analysis.Fewest(s.Plan.Alpha)), counts}
	case Clear:
		return []study.Said{study.Say("People %s.", tell), counts}
	}
	return []study.Said{study.Say("It was not shown that people %s.", tell), counts, study.Say("It was not ruled " +
		"out either.")}
}

// saidKinds are the two kinds of turns of which one of two things is said: the first is true of
// the first.
func saidKinds(s *study.Study, f analysis.Finding) [2]study.Said {
	if s.TurnServings() > 1 {
		return [2]study.Said{study.Say("pairs that were the same"), study.Say("pairs that were not")}
	}
	c := contrastOf(s, f.Two())
	return [2]study.Said{study.Say("servings of %s", c.short[0]), study.Say("servings of %s", c.short[1])}
}

// tellersText says how many truly tell, beyond right guesses.
func tellersText(share float64) study.Said {
	switch n := ofTen(share); {
	case share >= 1:
		return study.Say("All answers were right, so that it looks as if everybody tells.")
	case n == 0:
		return study.Say("Fewer than one of ten people truly tell; the others guess.")
	case n == 10:
		return study.Say("More than nine of ten people truly tell; the others guess.")
	default:
		return study.Say("About %d of ten people truly tell; the others guess.", n)
	}
}

func choiceAsked(s *study.Study, f analysis.Finding) string {
	c := contrastOf(s, f.Two())
	if t := f.Choice.Told; t != nil && t.Alike != nil {
		return fmt.Sprintf("Asked beforehand: do so few people tell %s from %s%s that it passes unnoticed, fewer "+
			"than "+
			"%s? %s.", c.short[0], c.short[1], bracketed(c.shared), peopleOf(t.Alike.Share), answers(f.N))
	}
	return fmt.Sprintf("Asked beforehand: %s against %s%s, %s.", c.short[0], c.short[1], bracketed(c.shared),
		answers(f.N))
}

func choiceRow(s *study.Study, f analysis.Finding, v Verdict, notes *footnotes) Row {
	c := contrastOf(s, f.Two())
	r := Row{
		Ask: "Right answers", Compared: c.between().String(), Pair: fmt.Sprintf("%s, %s", f.Comparison[0],
			f.Comparison[1]),
		Role: string(f.Role), N: f.N, Share: shareWords(f.Value), Interval: shareInterval(f),
		P:     pValue(f.Test.Deciding()),
		Clear: v.Outcome == Clear, Notes: notes.ofAll(f.Warnings), Technical: testRows(f),
		Excluded: exclusionLines(f.Excluded),
	}
	if t := f.Choice.Told; t != nil {
		r.Counts = fmt.Sprintf("%d right", t.Right)
		f.Effects = append([]analysis.Effect{t.Tellers, t.DPrime}, f.Effects...)
		if t.Alike != nil {
			r.Interval = "up to " + shareWords(f.Stated().Hi)
			r.Technical = append(r.Technical, alikeRows(f)...)
		}
	}
	if x := f.Choice.Said; x != nil {
		r.Ask, r.Counts = "Said", fmt.Sprintf("%d of %d, %d of %d", x.X1, x.N1, x.X2, x.N2)
		r.Share, r.Interval = "d′ "+number(f.Value, 2), interval(f.CI, 2)
	}
	if p := f.Choice.Preferred; p != nil {
		r.Ask = "Preferred"
		if f.Attribute != "" {
			r.Ask = "Chosen"
		}
		r.Counts = fmt.Sprintf("%d / %d / %d", p.First, p.Second, p.None)
	}
	for _, e := range f.Effects {
		r.Technical = append(r.Technical, effectRow(e, s.Plan.Level(), 3))
	}
	return r
}
