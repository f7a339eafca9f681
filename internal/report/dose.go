package report

import (
	"fmt"
	"math"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/stats"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// doseKind tells how a rating goes with an amount, namedDoseKind what a dish under another
// name is worth in amounts.
var (
	doseKind      = kind{doseVerdict, doseAsked, doseRow, doseFigures}
	namedDoseKind = kind{namedDoseVerdict, doseAsked, doseRow, doseFigures}
)

// decimalsOfAmounts is how many decimals an amount is read with: one more than the steps
// between the amounts have.
func decimalsOfAmounts(f analysis.Finding) int {
	steps := f.Dose.Steps
	least := math.Inf(1)
	for i := 1; i < len(steps); i++ {
		least = min(least, steps[i].Amount-steps[i-1].Amount)
	}
	if !(least > 0) || math.IsInf(least, 1) {
		return 1
	}
	return min(6, 1+max(0, int(math.Ceil(-math.Log10(least)-1e-9))))
}

// amountWords is an amount with its unit: "1.0 g of salt per litre".
func amountWords(f analysis.Finding, v float64) study.Said {
	return study.Say("%s %s", figure(v, decimalsOfAmounts(f)), unitOf(f.Dose.Unit))
}

// unitOf is a unit of amounts: "g of salt per litre".
func unitOf(u study.AmountUnit) study.Said {
	return study.Say("%s of %s per %s", u.Unit, u.Of, study.Say(string(u.Per)))
}

// oneOf is one of the unit, in words where English has them: "gram of salt per litre".
func oneOf(u study.AmountUnit) worded { return worded{unitOf(u), u.One()} }

func doseAsked(s *study.Study, f analysis.Finding) string {
	a, _ := s.Attribute(f.Attribute)
	steps := f.Dose.Steps
	u := f.Dose.Unit
	text := fmt.Sprintf("Asked beforehand: “%s” — %d amounts, from %s to %s", a.Ask, len(steps),
		u.Short(steps[0].Amount), u.Words(steps[len(steps)-1].Amount))
	if l := f.Dose.Laid; l != nil {
		text += fmt.Sprintf(", and %s with %s", called(s, l.Sample), u.Short(l.Amount))
	}
	return text + ", rated by " + people(f.N).String() + "."
}

// called is a dish by the name under which it is laid on the line.
func called(s *study.Study, id study.SampleID) study.Said {
	if name := s.NameText(id); name != "" {
		return study.Say("the dish called “%s”", name)
	}
	return study.Say("the dish served without a name")
}

// calledAs begins a sentence on what a name did.
func calledAs(s *study.Study, id study.SampleID) study.Said {
	if name := s.NameText(id); name != "" {
		return study.Say("calling it “%s”", name)
	}
	return study.Say("serving it without a name")
}

// pointsMore is a slope as words: "was rated 6.2 points saltier (5.3 to 7.0)". Of a fall the interval
// is turned too.
func pointsMore(a study.Attribute, v float64, ci stats.Interval) worded {
	n, w, ask := decimalsFor(a.Scale), wordingOf(a), strings.TrimSpace(a.Ask)
	size, lo, hi := v, ci.Lo, ci.Hi
	if v < 0 {
		size, lo, hi = -v, -hi, -lo
	}
	turned := stats.Interval{Lo: lo, Hi: hi, Level: ci.Level}
	english := fmt.Sprintf("%s %s points %s (%s)", w.verb, number(size, n), w.toward(v), interval(turned, n))
	if v < 0 {
		return worded{study.Say("was rated %s points lower on “%s” (%s)", figure(size, n), ask, fromTo(turned,
			n)), english}
	}
	return worded{study.Say("was rated %s points higher on “%s” (%s)", figure(size, n), ask, fromTo(turned, n)),
		english}
}

// doseVerdict says how the rating goes with the amount, and where the rating sought is
// reached.
func doseVerdict(s *study.Study, f analysis.Finding) []study.Said {
	a, _ := s.Attribute(f.Attribute)
	if math.IsNaN(f.Value) {
		return []study.Said{study.Say("No answer on “%s”: too few people or amounts for a line.", a.Ask)}
	}
	said := study.Say("each %s more %s, %s", oneOf(f.Dose.Unit), pointsMore(a, f.Value, f.Stated()), ofScale(a.Scale))
	switch outcomeOf(f.Verdict) {
	case NoAnswer:
		return []study.Said{study.Say("Too few to say on “%s”: %s rated the amounts, and a verdict takes at "+
			"least %d.",
			a.Ask, people(f.N), analysis.Fewest(s.Plan.Alpha)), study.Say("%s.", said)}
	case Clear:
		return []study.Said{study.Say("%s%s.", onTheSide(f), said), doseWorth(f), sought(f), partners(doseNumbers(f))}
	}
	return []study.Said{study.Say("It is not clear that the amount changes “%s”: %s.", a.Ask, said), doseWorth(f),
		sought(f), partners(doseNumbers(f))}
}

// ofScale names the scale after a number of points.
func ofScale(s study.Scale) study.Said {
	return study.Say("on a scale from %s to %s", plainFigure(s.Min()), plainFigure(s.Max()))
}

// doseWorth holds the slope that decides against the one worth acting on.
func doseWorth(f analysis.Finding) study.Said {
	v := f.Verdict
	worth := study.Say("the %s points for each %s that the study set out to act on", study.Figure(general(v.Margin)),
		study.Say(f.Dose.Unit.Unit))
	if v.Margin == 1 {
		worth = study.Say("the 1 point for each %s that the study set out to act on", study.Say(f.Dose.Unit.Unit))
	}
	switch {
	case v.Margin <= 0 || f.Kind != analysis.KindDose || f.Role != analysis.Primary:
		return study.Said{}
	case v.Code == analysis.DifferentAct:
		return study.Say("It is clear that this reaches %s.", worth)
	case v.Code == analysis.DifferentSmall, v.Code == analysis.Alike:
		return study.Say("It is clear that this is less than %s.", worth)
	case v.Code == analysis.DifferentSizeOpen:
		return study.Say("Whether this reaches %s is open.", worth)
	}
	return study.Say("A slope of %s is still possible.", worth)
}

// sought says at which amount the rating sought is reached.
func sought(f analysis.Finding) study.Said {
	x := f.Dose.Sought
	if x == nil {
		return study.Said{}
	}
	rating := study.Say("a rating of %s", study.Figure(general(x.Rating)))
	switch {
	case x.Shape != dose.Bounded:
		return study.Say("At which amount %s is reached cannot be said: the panel did not tell the amounts apart "+
			"clearly enough.", rating)
	case !x.Inside:
		return study.Say("The series does not reach %s: no amount is named, for nobody tasted it.", rating)
	}
	return study.Say("%s is reached at %s (%s) on average. %s", rating, amountWords(f, x.Amount),
		fromTo(x.CI, decimalsOfAmounts(f)), study.Say(study.KeepsSafe))
}

func doseNumbers(f analysis.Finding) string {
	text := fmt.Sprintf("In numbers: %s; %s", testInWords(f.Test), pPhrase(f.Test.Deciding()))
	for _, k := range f.Checks {
		text += fmt.Sprintf("; %s: %s", k.Title, pPhrase(k.P))
	}
	return text + "."
}

// namedDoseVerdict says what a name was worth in amounts.
func namedDoseVerdict(s *study.Study, f analysis.Finding) []study.Said {
	a, _ := s.Attribute(f.Attribute)
	l := f.Dose.Laid
	if math.IsNaN(l.Shift.Value) {
		return []study.Said{study.Say("No answer on “%s”: too few people or amounts for a line.", a.Ask)}
	}
	above := study.Say("it %s than the series at the same amount", pointsMore(a, l.Shift.Value, l.Shift.CI))
	as := calledAs(s, l.Sample)
	switch outcomeOf(f.Verdict) {
	case NoAnswer:
		return []study.Said{study.Say("Too few to say what %s does: %s rated the series, and a verdict takes at "+
			"least %d.",
			as, people(f.N), analysis.Fewest(s.Plan.Alpha))}
	case Unclear:
		return []study.Said{study.Say("It is not clear that %s changes “%s”: %s.", as, a.Ask, above),
			stillPossible(f),
			partners(doseNumbers(f))}
	}
	switch {
	case l.Shape != dose.Bounded:
		return []study.Said{study.Say("%s%s makes a difference on “%s”: %s.", onTheSide(f), as, a.Ask, above),
			study.Say("How much that is in %s cannot be said: the panel did not tell the amounts apart clearly "+
				"enough.",
				f.Dose.Unit.Of), partners(doseNumbers(f))}
	case !l.Inside:
		return []study.Said{study.Say("%s%s makes a difference on “%s”: %s.", onTheSide(f), as, a.Ask, above),
			study.Say("It was rated like more or less %s than any dish of the series had, so that no amount is "+
				"named: "+
				"nobody tasted it.", f.Dose.Unit.Of), partners(doseNumbers(f))}
	}
	worth := study.Say("%s (%s)", amountAdded(f), ciWithoutSign(f))
	return []study.Said{study.Say("%s%s %s as %s.", onTheSide(f), as, madeIt(a, l.Shift.Value), worth),
		recipe(s, f), study.Say("%s.", above), partners(doseNumbers(f))}
}

// amountAdded is what the name was worth: "1.0 g of salt per litre would", or taking so
// much out.
func amountAdded(f analysis.Finding) study.Said {
	if f.Value < 0 {
		return study.Say("taking out %s would", amountWords(f, -f.Value))
	}
	return study.Say("%s would", amountWords(f, f.Value))
}

// ciWithoutSign is the interval in the direction of the estimate.
func ciWithoutSign(f analysis.Finding) study.Said {
	ci := f.Stated()
	if f.Value < 0 {
		ci.Lo, ci.Hi = -ci.Hi, -ci.Lo
	}
	return fromTo(ci, decimalsOfAmounts(f))
}

// madeIt is what the name did: "made it taste as much saltier".
func madeIt(a study.Attribute, shift float64) worded {
	w := wordingOf(a)
	english := "made it taste as much " + w.toward(shift)
	switch {
	case w.verb == "was liked":
		english = "made people like it as much " + w.toward(shift)
	case strings.Contains(w.more, "“"):
		english = "made them rate it as much " + w.toward(shift)
	}
	if shift < 0 {
		return worded{study.Say("lowered the ratings on “%s” as much", strings.TrimSpace(a.Ask)), english}
	}
	return worded{study.Say("raised the ratings on “%s” as much", strings.TrimSpace(a.Ask)), english}
}

// recipe turns the worth of a name into what to cook with under it.
func recipe(s *study.Study, f analysis.Finding) study.Said {
	if f.Attribute != s.Plan.Attribute || s.NameText(f.Dose.Laid.Sample) == "" {
		return study.Said{}
	}
	if !f.Dose.Laid.CookInside {
		return study.Say("With how much %s it would taste under this name as before is not said: the series does "+
			"not go that far, and nobody tasted it. %s", f.Dose.Unit.Of, study.Say(study.KeepsSafe))
	}
	amount := amountWords(f, math.Abs(f.Value))
	if f.Value < 0 {
		return study.Say("To keep the taste of before under this name, cook with %s more (%s). %s", amount,
			ciWithoutSign(f), study.Say(study.KeepsSafe))
	}
	return study.Say("To keep the taste of before under this name, cook with %s less (%s). %s", amount,
		ciWithoutSign(f), study.Say(study.KeepsSafe))
}

// stillPossible says what a name may be worth that was not found to do anything.
func stillPossible(f analysis.Finding) study.Said {
	if f.Dose.Laid.Shape != dose.Bounded {
		return study.Say("How much that could be in %s cannot be said: the panel did not tell the amounts apart "+
			"clearly enough.", f.Dose.Unit.Of)
	}
	return study.Say("Anything from %s %s is still possible.", fromTo(f.Stated(), decimalsOfAmounts(f)),
		unitOf(f.Dose.Unit))
}

// doseRow is the row of a line, or of a dish laid on it.
func doseRow(s *study.Study, f analysis.Finding, v Verdict, notes *footnotes) Row {
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale)
	r := Row{Ask: a.Ask, Attribute: string(f.Attribute), Role: string(f.Role), N: f.N, People: fmt.Sprint(f.N),
		Compared: "Each " + f.Dose.Unit.One() + " more, in points", Pair: "slope",
		Difference: signed(f.Value, n), Interval: statedText(f, n), P: pValue(f.Test.Deciding()),
		Clear: v.Outcome == Clear, Notes: notes.ofAll(f.Warnings), Technical: testRows(f)}
	if l := f.Dose.Laid; l != nil {
		m := decimalsOfAmounts(f)
		r.Compared = upperFirst(called(s, l.Sample).String()) + ", in " + f.Dose.Unit.String()
		r.Pair, r.Difference, r.Interval = string(l.Sample), signed(f.Value, m), worthText(f, m)
		if l.Shape != dose.Bounded || !l.Inside {
			r.Difference = absent
		}
		r.Technical = append(r.Technical, TechRow{"Above the line of the amounts, in points",
			signed(l.Shift.Value, n+1),
			interval(l.Shift.CI, n+1), none, none}, TechRow{"Equivalent amount, " + string(l.Shape),
			signed(f.Value, 4),
			worthText(f, 4), none, none})
	}
	r.Technical = append(r.Technical, TechRow{"Slope over the amounts" + slopeOf(f), signed(f.Dose.Slope.Value, n+2),
		interval(f.Dose.Slope.CI, n+2), degrees(f.Dose.Slope.DF, math.NaN()), exactP(f.Dose.Slope.P)})
	if x := f.Dose.Sought; x != nil {
		r.Technical = append(r.Technical, TechRow{fmt.Sprintf("Amount at a rating of %g, %s", x.Rating, x.Shape),
			number(x.Amount, 4), setText(x.Fieller, 4), none, none})
	}
	for _, k := range f.Checks {
		r.Technical = append(r.Technical, checkRow(k, n))
	}
	r.Excluded = exclusionLines(f.Excluded)
	return r
}

// slopeOf says from which ratings a slope comes.
func slopeOf(f analysis.Finding) string {
	switch {
	case f.Dose.Complete:
		return ", mean of everybody’s own"
	case f.Dose.OwnSlopes:
		return ", in a model with a slope of each person’s own"
	}
	return ", in a model with one slope for all"
}

// worthText is the interval of what a name was worth, or what is known of it.
func worthText(f analysis.Finding, n int) string {
	if f.Dose.Laid.Shape == dose.Bounded {
		return interval(f.Stated(), n) + unadjustedMark(f)
	}
	return setText(f.Dose.Laid.Fieller, n) + unadjustedSet(f)
}

// unadjustedSet marks what is known of a name without two ends, which is never adjusted, where p is.
func unadjustedSet(f analysis.Finding) string {
	if f.Family == 0 || f.Dose.Laid.Shape == dose.WholeLine {
		return ""
	}
	return fmt.Sprintf(" (%s, not adjusted)", levelWords(f.CI.Level))
}

// adjustedTogether is how many findings on amounts are adjusted together, 0 for none.
func adjustedTogether(all []analysis.Finding) (family int) {
	for _, f := range all {
		if f.Kind == analysis.KindDose || f.Kind == analysis.KindNamedDose {
			family = max(family, f.Family)
		}
	}
	return family
}

// setText writes a confidence set that need not have two ends.
func setText(x analysis.Fieller, n int) string {
	switch x.Shape {
	case dose.Bounded:
		return interval(x.CI, n)
	case dose.TwoRays:
		return "all but " + interval(x.Excluded, n)
	case dose.OneRay:
		if math.IsInf(x.CI.Lo, -1) {
			return "up to " + number(x.CI.Hi, n)
		}
		return "from " + number(x.CI.Lo, n)
	case dose.WholeLine:
		return "unbounded"
	}
	return absent
}

// dosesBelow says how to read the rows of amounts.
func dosesBelow(s *study.Study, all []analysis.Finding) (lines []string) {
	laid, unclear := false, false
	for _, f := range all {
		laid = laid || f.Dose.Laid != nil
		unclear = unclear || f.Dose.Laid != nil && f.Dose.Laid.Shape != dose.Bounded
	}
	if laid {
		lines = append(lines, "What a name is worth: by how much its dish is rated above the line of the amounts, "+
			"over "+
			"how much a unit of it adds.")
	}
	if unclear {
		lines = append(lines, "Unbounded, or all but a stretch: with amounts that are hardly told apart, no two "+
			"ends "+
			"hold the truth with "+percent(s.Plan.Level())+" confidence.")
	}
	if n := adjustedTogether(all); n > 0 {
		lines = append(lines, adjustedNote(s.Plan, n, false))
	}
	return lines
}

// doseFacts are what was to be tested how.
func doseFacts(s *study.Study, r *analysis.Result, how string) []Fact {
	primary, _ := s.Attribute(s.Plan.Attribute)
	first := r.Findings[0]
	compared := "each " + s.AmountsIn.One() + " more"
	if first.Dose.Laid != nil {
		compared = called(s, first.Dose.Laid.Sample).String() + " against the line of the amounts"
	}
	return []Fact{
		{"Assessors with ratings", fmt.Sprint(r.Assessors)},
		{"Primary comparison", fmt.Sprintf("%s, on “%s”", compared, primary.Ask)},
		{"Planned test", first.Test.Title + how},
		{"Amounts in", s.AmountsIn.String()},
	}
}
