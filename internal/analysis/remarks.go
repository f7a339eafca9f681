package analysis

import (
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/study"
)

// Thresholds at which a remark is made.
const (
	// strongSkew is where a distribution is called highly skewed (Bulmer 1979,
	// Principles of Statistics, p. 63; from memory).
	strongSkew = 1.0
	// endShare is the share of ratings at an end of a scale from which floor
	// or ceiling effects are assumed (McHorney & Tarlov 1995, Qual. Life Res.
	// 4:293, 15 %; from memory). On scales of fewer than longScale points an
	// end holds more by the arithmetic of it, so there it takes twice an even
	// spread (common practice, no source).
	endShare  = 0.15
	longScale = 7
)

// remarkSides says that a primary test looks one way.
func (f *Finding) remarkSides(s *study.Study) {
	if f.Role == Primary && s.Plan.Sides != study.TwoSided && s.Plan.Sides != "" {
		f.warn(warnOneSided())
	}
}

// remarkPairs says that fewer people than a verdict takes did what counts.
func (f *Finding) remarkPairs(s *study.Study, did string) {
	if need := Fewest(s.Plan.Alpha); f.N < need {
		f.warn(warnFewPairs(f.N, need, did))
	}
}

// remarkCounted says who is left out, and that replicates are averaged.
func (p *panel) remarkCounted(f *Finding) {
	if len(f.Excluded) > 0 {
		f.warn(warnIncomplete(f.Excluded))
	}
	if p.most > 1 {
		f.warn(warnReplicates(p.most))
	}
}

// remark adds what a careful reader should know of a finding before its
// adjusted test.
func (p *panel) remark(s *study.Study, c comparison, f *Finding) {
	f.remarkSides(s)
	f.remarkPairs(s, "rated both samples")
	p.remarkCounted(f)
	if broken, all := p.revealed(c); broken > 0 {
		f.warn(warnBlindBroken(broken, all))
	}
	f.remarkSkew()
	f.remarkOrders(s)
	f.remarkEnds(s, c)
}

// remarkGroups is [panel.remark] of two groups.
func (p *panel) remarkGroups(s *study.Study, c comparison, f *Finding) {
	f.remarkSides(s)
	if need := FewestInGroup(s.Plan.Alpha); min(f.Groups.Ns[0], f.Groups.Ns[1]) < need {
		f.warn(warnFewInGroup(f.Groups.Ns, need))
	}
	if len(f.Excluded) > 0 {
		f.warn(warnIncomplete(f.Excluded))
	}
	if len(s.Serving.Strata) > 0 && f.Groups.Strata == 0 {
		f.warn(warnStrataOpen())
	}
	if p.most > 1 {
		f.warn(warnReplicates(p.most))
	}
	broken, all := 0, 0
	for _, x := range c.pair {
		broken, all = p.column(c.attribute.ID, x).addRevealed(broken, all)
	}
	if broken > 0 {
		f.warn(warnBlindBroken(broken, all))
	}
}

// conclude gives the verdict, and the remarks that rest on adjusted tests.
func (f *Finding) conclude(plan study.AnalysisPlan) {
	f.Judge(plan)
	if f.Kind != KindPanel && f.Kind != KindRanking && f.Kind != KindAboutRight && f.Kind != KindWords {
		f.remarkSmallest()
	}
	if other, yes := f.Contradicted(plan.Alpha); yes {
		f.warn(warnTestsDisagree(f.Test, other, plan.Alpha))
	}
}

// fewestPairs is the least n for which the most extreme signed-rank result,
// with two-sided p = 2/2ⁿ, can reach alpha.
func fewestPairs(alpha float64) int {
	return int(math.Ceil(1 - math.Log2(alpha)))
}

// remarkSkew speaks when the skewness of the differences is strong and beyond
// twice its standard error under normality (Joanes & Gill 1998).
func (f *Finding) remarkSkew() {
	d := make([]float64, f.N)
	for i, v := range f.Pair.Each {
		d[i] = v.First - v.Second
	}
	n := float64(f.N)
	skew := stats.Skewness(d)
	se := math.Sqrt(6 * n * (n - 1) / ((n - 2) * (n + 1) * (n + 3)))
	if math.Abs(skew) > max(strongSkew, 2*se) {
		f.warn(warnSkewed(skew))
	}
}

// remarkOrders speaks when one sample came first more often than balance and
// one missing assessor allow.
func (f *Finding) remarkOrders(s *study.Study) {
	first, second := 0, 0
	for _, v := range f.Pair.Each {
		switch v.FirstPosition {
		case 1:
			first++
		case -1:
			second++
		}
	}
	off := max(first-second, second-first)
	if off > 2 && off*10 > f.N {
		f.warn(warnPositions(first, second, Label(s, f.Comparison[0]), Label(s, f.Comparison[1])))
	}
}

func (f *Finding) remarkEnds(s *study.Study, c comparison) {
	x, y := columns(f.Pair.Each)
	f.remarkEndsOf(s, c, x, y)
}

// remarkEndsOf speaks when many ratings of a sample stand at an end of the scale.
func (f *Finding) remarkEndsOf(s *study.Study, c comparison, x, y []float64) {
	scale := c.attribute.Scale
	limit := endShare
	if points := (scale.Max()-scale.Min())/scale.Step() + 1; points < longScale {
		limit = 2 / points
	}
	for i, values := range [][]float64{x, y} {
		if share := shareAt(values, scale.Min()); share > limit {
			f.warn(warnEnd(WarnFloor, "low end", share, Label(s, f.Comparison[i])))
		}
		if share := shareAt(values, scale.Max()); share > limit {
			f.warn(warnEnd(WarnCeiling, "high end", share, Label(s, f.Comparison[i])))
		}
	}
}

func shareAt(values []float64, end float64) float64 {
	n := 0
	for _, v := range values {
		if v == end {
			n++
		}
	}
	return float64(n) / float64(len(values))
}

// remarkSmallest holds the interval against the smallest effect worth acting on.
func (f *Finding) remarkSmallest() {
	ci := f.Stated()
	switch {
	case f.Verdict.Sameness: // the verdict itself speaks of it
	case f.Verdict.Code == DifferentSmall, f.Verdict.Code == Alike:
		f.warn(warnTooSmall(f.EquivalenceCI.Level, f.evenAt(), f.worth()))
	case f.Verdict.Code == Open && f.Verdict.Margin > 0 && ci.Lo <= f.Choice.Chance && ci.Hi >= f.Choice.Chance:
		f.warn(warnSmallestOpen(f.evenAt(), f.worth()))
	}
}

// evenAt is where neither sample has more, and worth the smallest effect worth acting
// on, as words.
func (f *Finding) evenAt() string {
	if f.Kind == KindChoice {
		return Percent(f.Choice.Chance)
	}
	return "0"
}

func (f *Finding) worth() string {
	if f.Kind == KindChoice {
		return Percent(f.Choice.Chance + f.Verdict.Margin)
	}
	return fmt.Sprintf("%g points", f.Verdict.Margin)
}

// notSetDown counts the servings that were rated although no plate was noted, and
// all that were rated.
func notSetDown(ratings []Rating) (k, n int) {
	type serving struct {
		assessor string
		position int
		sample   study.SampleID
	}
	seen := map[serving]bool{}
	for _, x := range ratings {
		one := serving{x.Assessor, x.Position, x.Sample}
		if seen[one] {
			continue
		}
		seen[one] = true
		n++
		if x.NotSetDown {
			k++
		}
	}
	return k, n
}

// remarkStudy adds what holds for every finding.
func remarkStudy(s *study.Study, ratings []Rating, r *Result) {
	broken := 0
	for _, x := range ratings {
		if x.Revealed {
			broken++
		}
	}
	if broken > 0 {
		r.Warnings = append(r.Warnings, warnBlindBroken(broken, len(ratings)))
	}
	if k, n := notSetDown(ratings); k > 0 {
		r.Warnings = append(r.Warnings, warnNotSetDown(k, n))
	}
	remarkConduct(s, ratings, r)
	if s.Invented {
		r.Warnings = append(r.Warnings, Warning{WarnInvented,
			"the ratings are invented: they show how the program works and say nothing of any dish"})
	}
	if r.PlanHash == "" {
		r.Warnings = append(r.Warnings, Warning{WarnNotLocked,
			"the plan was not locked before the ratings, as far as this analysis can tell"})
	}
	r.Warnings = append(r.Warnings, remarkVersions(r.Versions)...)
	r.Warnings = append(r.Warnings, remarkAfterClose(r.AfterClose)...)
}
