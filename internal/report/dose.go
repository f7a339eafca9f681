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
func amountWords(f analysis.Finding, v float64) string {
	return number(v, decimalsOfAmounts(f)) + " " + f.Dose.Unit.String()
}

func doseAsked(s *study.Study, f analysis.Finding) string {
	a, _ := s.Attribute(f.Attribute)
	steps := f.Dose.Steps
	u := f.Dose.Unit
	text := fmt.Sprintf("Asked beforehand: “%s” — %d amounts, from %s to %s", a.Ask, len(steps),
		u.Short(steps[0].Amount), u.Words(steps[len(steps)-1].Amount))
	if l := f.Dose.Laid; l != nil {
		text += fmt.Sprintf(", and %s with %s", called(s, l.Sample), u.Short(l.Amount))
	}
	return text + ", rated by " + people(f.N) + "."
}

// called is a dish by the name under which it is laid on the line.
func called(s *study.Study, id study.SampleID) string {
	if name := s.NameText(id); name != "" {
		return "the dish called “" + name + "”"
	}
	return "the dish served without a name"
}

// calledAs begins a sentence on what a name did.
func calledAs(s *study.Study, id study.SampleID) string {
	if name := s.NameText(id); name != "" {
		return "calling it “" + name + "”"
	}
	return "serving it without a name"
}

// pointsMore is a slope as words: "6.2 points saltier (5.3 to 7.0)". Of a fall the interval
// is turned too.
func pointsMore(a study.Attribute, v float64, ci stats.Interval) string {
	n := decimalsFor(a.Scale)
	w := wordingOf(a)
	lo, hi := ci.Lo, ci.Hi
	if v < 0 {
		v, lo, hi = -v, -hi, -lo
		return fmt.Sprintf("%s points %s (%s)", number(v, n), w.less, interval(stats.Interval{Lo: lo, Hi: hi,
			Level: ci.Level}, n))
	}
	return fmt.Sprintf("%s points %s (%s)", number(v, n), w.more, interval(ci, n))
}

// doseVerdict says how the rating goes with the amount, and where the rating sought is
// reached.
func doseVerdict(s *study.Study, f analysis.Finding) []string {
	a, _ := s.Attribute(f.Attribute)
	each, verb := "each "+f.Dose.Unit.One()+" more", wordingOf(a).verb
	if math.IsNaN(f.Value) {
		return []string{fmt.Sprintf("No answer on “%s”: too few people or amounts for a line.", a.Ask)}
	}
	said := fmt.Sprintf("%s %s %s, %s", each, verb, pointsMore(a, f.Value, f.Stated()), ofScale(a.Scale))
	switch outcomeOf(f.Verdict) {
	case NoAnswer:
		return []string{fmt.Sprintf("Too few to say on “%s”: %s rated the amounts, and a verdict takes at least %d.",
			a.Ask, people(f.N), analysis.Fewest(s.Plan.Alpha)), upperFirst(said) + "."}
	case Clear:
		return []string{upperFirst(onTheSide(f)+said) + ".", doseWorth(f), sought(f), doseNumbers(f)}
	}
	return []string{fmt.Sprintf("It is not clear that the amount changes “%s”: %s.", a.Ask, said), doseWorth(f),
		sought(f), doseNumbers(f)}
}

// ofScale names the scale after a number of points.
func ofScale(s study.Scale) string {
	return fmt.Sprintf("on a scale from %s to %s", end(s.Min()), end(s.Max()))
}

// doseWorth holds the slope that decides against the one worth acting on.
func doseWorth(f analysis.Finding) string {
	v := f.Verdict
	worth := "the " + pointsSetOut(v, " for each "+f.Dose.Unit.Unit)
	switch {
	case v.Margin <= 0 || f.Kind != analysis.KindDose || f.Role != analysis.Primary:
		return ""
	case v.Code == analysis.DifferentAct:
		return "It is clear that this reaches " + worth + "."
	case v.Code == analysis.DifferentSmall, v.Code == analysis.Alike:
		return "It is clear that this is less than " + worth + "."
	case v.Code == analysis.DifferentSizeOpen:
		return "Whether this reaches " + worth + " is open."
	}
	return "A slope of " + worth + " is still possible."
}

// sought says at which amount the rating sought is reached.
func sought(f analysis.Finding) string {
	x := f.Dose.Sought
	if x == nil {
		return ""
	}
	rating := fmt.Sprintf("a rating of %g", x.Rating)
	switch {
	case x.Shape != dose.Bounded:
		return fmt.Sprintf("At which amount %s is reached cannot be said: the panel did not tell the amounts apart "+
			"clearly enough.", rating)
	case !x.Inside:
		return fmt.Sprintf("The series does not reach %s: no amount is named, for nobody tasted it.", rating)
	}
	return fmt.Sprintf("%s is reached at %s (%s) on average. %s", upperFirst(rating), amountWords(f, x.Amount),
		interval(x.CI, decimalsOfAmounts(f)), study.KeepsSafe)
}

func doseNumbers(f analysis.Finding) string {
	text := fmt.Sprintf("In numbers: %s; %s", testInWords(f.Test), pPhrase(f.Test.Deciding()))
	for _, k := range f.Checks {
		text += fmt.Sprintf("; %s: %s", k.Title, pPhrase(k.P))
	}
	return text + "."
}

// namedDoseVerdict says what a name was worth in amounts.
func namedDoseVerdict(s *study.Study, f analysis.Finding) []string {
	a, _ := s.Attribute(f.Attribute)
	l := f.Dose.Laid
	if math.IsNaN(l.Shift.Value) {
		return []string{fmt.Sprintf("No answer on “%s”: too few people or amounts for a line.", a.Ask)}
	}
	above := fmt.Sprintf("it %s %s than the series at the same amount", wordingOf(a).verb, pointsMore(a, l.Shift.Value,
		l.Shift.CI))
	as := calledAs(s, l.Sample)
	switch outcomeOf(f.Verdict) {
	case NoAnswer:
		return []string{fmt.Sprintf("Too few to say what %s does: %s rated the series, and a verdict takes at "+
			"least %d.",
			as, people(f.N), analysis.Fewest(s.Plan.Alpha))}
	case Unclear:
		return []string{fmt.Sprintf("It is not clear that %s changes “%s”: %s.", as, a.Ask, above), stillPossible(f),
			doseNumbers(f)}
	}
	switch {
	case l.Shape != dose.Bounded:
		return []string{upperFirst(fmt.Sprintf("%s%s makes a difference on “%s”: %s.", onTheSide(f), as, a.Ask, above)),
			fmt.Sprintf("How much that is in %s cannot be said: the panel did not tell the amounts apart clearly "+
				"enough.",
				f.Dose.Unit.Of), doseNumbers(f)}
	case !l.Inside:
		return []string{upperFirst(fmt.Sprintf("%s%s makes a difference on “%s”: %s.", onTheSide(f), as, a.Ask, above)),
			fmt.Sprintf("It was rated like more or less %s than any dish of the series had, so that no amount is "+
				"named: "+
				"nobody tasted it.", f.Dose.Unit.Of), doseNumbers(f)}
	}
	worth := fmt.Sprintf("%s (%s)", amountAdded(f), ciWithoutSign(f))
	return []string{upperFirst(fmt.Sprintf("%s%s %s as %s.", onTheSide(f), as, madeIt(a, l.Shift.Value), worth)),
		recipe(s, f), upperFirst(above) + ".", doseNumbers(f)}
}

// amountAdded is what the name was worth: "1.0 g of salt per litre would", or taking so
// much out.
func amountAdded(f analysis.Finding) string {
	if f.Value < 0 {
		return "taking out " + amountWords(f, -f.Value) + " would"
	}
	return amountWords(f, f.Value) + " would"
}

// ciWithoutSign is the interval in the direction of the estimate.
func ciWithoutSign(f analysis.Finding) string {
	ci := f.Stated()
	if f.Value < 0 {
		ci.Lo, ci.Hi = -ci.Hi, -ci.Lo
	}
	return interval(ci, decimalsOfAmounts(f))
}

// madeIt is what the name did: "made it taste as much saltier".
func madeIt(a study.Attribute, shift float64) string {
	w := wordingOf(a)
	switch {
	case w.verb == "was liked":
		return "made people like it as much " + w.toward(shift)
	case strings.Contains(w.more, "“"):
		return "made them rate it as much " + w.toward(shift)
	}
	return "made it taste as much " + w.toward(shift)
}

// recipe turns the worth of a name into what to cook with under it.
func recipe(s *study.Study, f analysis.Finding) string {
	if f.Attribute != s.Plan.Attribute || s.NameText(f.Dose.Laid.Sample) == "" {
		return ""
	}
	if !f.Dose.Laid.CookInside {
		return fmt.Sprintf("With how much %s it would taste under this name as before is not said: the series does "+
			"not go that far, and nobody tasted it. %s", f.Dose.Unit.Of, study.KeepsSafe)
	}
	way := "less"
	if f.Value < 0 {
		way = "more"
	}
	n := decimalsOfAmounts(f)
	return fmt.Sprintf("To keep the taste of before under this name, cook with %s %s %s (%s). %s",
		number(math.Abs(f.Value), n), f.Dose.Unit.String(), way, ciWithoutSign(f), study.KeepsSafe)
}

// stillPossible says what a name may be worth that was not found to do anything.
func stillPossible(f analysis.Finding) string {
	if f.Dose.Laid.Shape != dose.Bounded {
		return fmt.Sprintf("How much that could be in %s cannot be said: the panel did not tell the amounts apart "+
			"clearly enough.", f.Dose.Unit.Of)
	}
	return fmt.Sprintf("Anything from %s %s is still possible.", interval(f.Stated(), decimalsOfAmounts(f)),
		f.Dose.Unit.String())
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
		r.Compared = upperFirst(called(s, l.Sample)) + ", in " + f.Dose.Unit.String()
		r.Pair, r.Difference, r.Interval = string(l.Sample), signed(f.Value, m), worthText(f, m)
		if l.Shape != dose.Bounded || !l.Inside {
			r.Difference = absent
		}
		r.Technical = append(r.Technical, TechRow{"Above the line of the amounts, in points",
			signed(l.Shift.Value, n+1),
			interval(l.Shift.CI, n+1), none, none}, TechRow{"Equivalent amount, " + string(l.Shape), signed(f.Value, 4),
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
		lines = append(lines, "Unbounded, or all but a stretch: with amounts that are hardly told apart, no two ends "+
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
		compared = called(s, first.Dose.Laid.Sample) + " against the line of the amounts"
	}
	return []Fact{
		{"Assessors with ratings", fmt.Sprint(r.Assessors)},
		{"Primary comparison", fmt.Sprintf("%s, on “%s”", compared, primary.Ask)},
		{"Planned test", first.Test.Title + how},
		{"Amounts in", s.AmountsIn.String()},
	}
}
