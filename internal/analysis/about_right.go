package analysis

import (
	"fmt"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/ttest"
	"cloche/internal/study"
)

// Codes of the warnings on answers about right.
const (
	WarnAssociation = "goes-together"
	WarnFewInGroup  = "few-in-group"
)

const (
	// ShareToAct is the share of people that has to say too little, or too much, before one
	// acts on it (common practice, no source seen; ASTM MNL63 is named for it).
	ShareToAct = 0.2
	// fewInGroup are people of whom a mean is told with a warning, and below which a drop is
	// tested on the degrees of freedom of the smaller group (a choice of ours: from 10 people
	// on, Welch's test at 1.25 % errs in 1.4 % of cases at most, see [ttest.Welch]).
	fewInGroup = 10
)

// AboutRightPart is what only answers about right have. There is no mean of them anywhere.
type AboutRightPart struct {
	Liking  study.AttributeID // what they are held against
	Worth   float64           // the smallest drop in it worth acting on; 0 = not stated
	Samples []RightSample     // in the order of the study; those of which somebody said something
	Moves   []RightMove       // of all pairs of samples that the same people tasted
}

// RightSample is what was said of one sample.
type RightSample struct {
	Sample study.SampleID
	N      int        // people
	Counts []int      // by answer, from the first label on
	Sides  [3]int     // by [study.TooLittle], [study.JustRight], [study.TooMuch]
	Low    RightSide  // who said too little
	High   RightSide  // who said too much
	Liked  RightGroup // by those who said about right
}

// RightGroup are the people of one side who said how much they liked the sample.
type RightGroup struct {
	People int
	Mean   float64 // of their liking; NaN without any
}

// RightSide is what those who said too little, or too much, have in common.
type RightSide struct {
	RightGroup
	Share    float64        // of all who said something; ShareCI by Clopper and Pearson
	ShareCI  stats.Interval // at 1 − alpha
	Drop     Effect         // in liking, against those who said about right
	Adjusted stats.Interval // of the drop, with the others of its family, by Bonferroni's inequality
	SameCI   stats.Interval // of two one-sided tests at alpha, adjusted; absent without a smallest effect
	Weighted Effect         // drop times share
	Test     Test           // Welch's of the drop, see [fewInGroup], adjusted with the others of its family
	Verdict  VerdictCode

	right, side []float64 // likings, for intervals at other levels
	said, of    int       // people who said this, of all who said something
}

// Few reports whether too few people said so to act on it, by the usual rule.
func (x RightSide) Few() bool { return x.Share < ShareToAct }

// RightMove is how the same people answered to two samples.
type RightMove struct {
	First, Second study.SampleID
	N             int
	Table         [3][3]int // people by their side of the first, then of the second
	Test          Test      // adjusted with the other pairs of the attribute
}

// Moved are the people whose answers to the two samples lie on different sides.
func (m RightMove) Moved() (n int) {
	for i, row := range m.Table {
		for j, x := range row {
			if i != j {
				n += x
			}
		}
	}
	return n
}

// withoutAboutRight is a study and its ratings without the attributes whose answers may not
// be averaged: nothing that averages ever sees them.
func withoutAboutRight(s *study.Study, ratings []Rating) (*study.Study, []Rating) {
	if len(s.AboutRights()) == 0 {
		return s, ratings
	}
	rest := *s
	rest.Attributes = s.Averaged()
	return &rest, slices.DeleteFunc(slices.Clone(ratings), func(r Rating) bool {
		a, ok := s.Attribute(r.Attribute)
		return ok && !a.Scale.Averages()
	})
}

// findAboutRight answers, of every attribute asked so, how many found each sample about
// right, whether those who did not liked it less, and who moved between two samples. The
// one that the plan names is primary, the others are secondary and adjusted together.
func findAboutRight(s *study.Study, ratings []Rating) ([]Finding, error) {
	asked := s.AboutRights()
	if len(asked) == 0 {
		return nil, nil
	}
	p, err := tabulate(s, ratings)
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(asked, func(a, b study.Attribute) int {
		return boolToInt(b.ID == s.Plan.Attribute) - boolToInt(a.ID == s.Plan.Attribute)
	})
	all := make([]Finding, len(asked))
	for i, a := range asked {
		if all[i], err = p.aboutRight(s, a); err != nil {
			return nil, fmt.Errorf("whether the %s is about right: %w", a.ID, err)
		}
	}
	primary := boolToInt(asked[0].ID == s.Plan.Attribute)
	for _, family := range [][]Finding{all[:primary], all[primary:]} {
		if err := adjustSides(s.Plan, family); err != nil {
			return nil, err
		}
	}
	for i := range all {
		all[i].conclude(s.Plan)
	}
	return all, nil
}

// aboutRight is what was said on one attribute.
func (p *panel) aboutRight(s *study.Study, a study.Attribute) (Finding, error) {
	f := Finding{Kind: KindAboutRight, Attribute: a.ID, Role: Secondary, Test: noTest(method.WelchT),
		Estimate:   Estimate{Value: math.NaN(), CI: stats.NoInterval(s.Plan.Level())},
		AboutRight: AboutRightPart{Liking: s.Plan.Liking, Worth: s.WorthOfLiking()}}
	if a.ID == s.Plan.Attribute {
		f.Role = Primary
	}
	people := map[string]bool{}
	for _, x := range s.Samples {
		said, err := p.rightSample(s, a, x.ID, people)
		if err != nil {
			return f, err
		}
		f.Comparison = append(f.Comparison, x.ID)
		if said.N > 0 {
			f.AboutRight.Samples = append(f.AboutRight.Samples, said)
			f.remarkFew(s, a, said)
		}
	}
	f.N = len(people)
	f.warn(warnAssociation())
	for i, x := range s.Samples {
		for _, y := range s.Samples[i+1:] {
			m, err := p.rightMove(a, x.ID, y.ID)
			if err != nil {
				return f, err
			}
			if m.N > 0 {
				f.AboutRight.Moves = append(f.AboutRight.Moves, m)
			}
		}
	}
	f.adjustMoves()
	return f, nil
}

// rightSample counts what was said of a sample, and adds who said it.
func (p *panel) rightSample(s *study.Study, a study.Attribute, x study.SampleID, people map[string]bool) (
	RightSample, error) {
	out := RightSample{Sample: x, Counts: make([]int, len(a.Scale.Labels))}
	liking := p.column(s.Plan.Liking, x)
	var liked [3][]float64
	for i, in := range p.column(a.ID, x) {
		switch {
		case len(in) == 0:
			continue
		case len(in) > 1:
			return out, fmt.Errorf("%w: assessor %s says %d times whether the %s of sample %s is about "+
				"right", ErrRating,
				p.assessors[i], len(in), a.ID, x)
		}
		side := a.Scale.SideOf(in[0].value)
		out.N++
		out.Counts[int(in[0].value)-1]++
		out.Sides[side]++
		people[p.assessors[i]] = true
		if v, _, ok := liking.mean(i); ok {
			liked[side] = append(liked[side], v)
		}
	}
	for _, values := range liked { // so that sums do not depend on the order of people
		slices.Sort(values)
	}
	out.Liked = groupOf(liked[study.JustRight])
	var err error
	if out.Low, err = rightSide(s.Plan, out, study.TooLittle, liked); err != nil {
		return out, err
	}
	out.High, err = rightSide(s.Plan, out, study.TooMuch, liked)
	return out, err
}

func groupOf(liked []float64) RightGroup {
	g := RightGroup{People: len(liked), Mean: math.NaN()}
	if g.People > 0 {
		g.Mean = stats.Mean(liked)
	}
	return g
}

// rightSide holds those who said too little, or too much, against those who said about
// right. The share is of all who said something; the drop of those who also said how much
// they liked it.
func rightSide(plan study.AnalysisPlan, of RightSample, side int, liked [3][]float64) (RightSide, error) {
	none := stats.NoInterval(plan.Level())
	x := RightSide{RightGroup: groupOf(liked[side]), Share: math.NaN(), ShareCI: none,
		Drop: Effect{method.Penalty, math.NaN(), none}, Weighted: Effect{method.WeightedPenalty, math.NaN(), none},
		Adjusted: none, SameCI: none, Test: noTest(method.WelchT), right: liked[study.JustRight], side: liked[side],
		said: of.Sides[side], of: of.N}
	if of.N == 0 {
		return x, nil
	}
	x.Share = float64(x.said) / float64(of.N)
	x.ShareCI = dist.ClopperPearson(x.said, of.N, plan.Level())
	if len(x.right) == 0 || len(x.side) == 0 {
		return x, nil
	}
	n := len(liked[study.TooLittle]) + len(liked[study.JustRight]) + len(liked[study.TooMuch])
	t, err := ttest.Penalty(x.right, x.side, n, dropAt(plan.Level()))
	if err != nil {
		return x, err
	}
	if min(len(x.right), len(x.side)) < fewInGroup {
		x.Test.Title += ", on the degrees of freedom of the smaller group"
	}
	x.Drop.Value, x.Drop.CI = t.Drop.Diff, t.Drop.CI
	x.Weighted.Value, x.Weighted.CI = t.Weighted, t.WeightedCI
	x.Test.Statistic, x.Test.DF, x.Test.P = t.Drop.T, t.Drop.DF, t.Drop.P
	return x, nil
}

// dropAt is how a drop is tested, with its interval at a level.
func dropAt(level float64) ttest.TwoSampleOptions {
	return ttest.TwoSampleOptions{Level: level, Few: fewInGroup}
}

// sides are both sides of every sample of a finding.
func (f *Finding) sides() (all []*RightSide) {
	for i := range f.AboutRight.Samples {
		x := &f.AboutRight.Samples[i]
		all = append(all, &x.Low, &x.High)
	}
	return all
}

// adjustSides adjusts the drops of several findings together, those that could be tested.
func adjustSides(plan study.AnalysisPlan, findings []Finding) error {
	var family []*RightSide
	var ps []float64
	worth := false
	for i := range findings {
		for _, x := range findings[i].sides() {
			if !math.IsNaN(x.Test.P) {
				family, ps = append(family, x), append(ps, x.Test.P)
			}
		}
		worth = worth || findings[i].AboutRight.Worth > 0
	}
	m := max(1, len(family))
	if plan.Adjust == study.NoAdjustment {
		m = 1
	}
	adjusted := stats.Holm(ps)
	for i, x := range family {
		if m > 1 {
			x.Test.PAdjusted = adjusted[i]
		}
		t, err := ttest.Welch(x.right, x.side, dropAt(1-plan.Alpha/float64(m)))
		if err != nil {
			return err
		}
		x.Adjusted = t.CI
		level := 1 - 2*plan.Alpha/float64(m)
		if !worth || level <= 0 {
			continue
		}
		if t, err = ttest.Welch(x.right, x.side, dropAt(level)); err != nil {
			return err
		}
		x.SameCI = t.CI
	}
	for i := range findings {
		findings[i].takeSurest()
	}
	return nil
}

// takeSurest puts the test of the drop that is surest in the place of the finding's.
func (f *Finding) takeSurest() {
	for _, x := range f.sides() {
		if math.IsNaN(f.Test.P) || x.Test.P < f.Test.P {
			f.Test = x.Test
		}
	}
}

// rightMove counts how the same people answered to two samples, and tests whether the
// answers to one lie elsewhere than those to the other.
func (p *panel) rightMove(a study.Attribute, first, second study.SampleID) (RightMove, error) {
	m := RightMove{First: first, Second: second, Test: noTest(method.MarginalHomogeneity)}
	of := p.column(a.ID, second)
	rows := make([][]int, len(m.Table))
	for i, in := range p.column(a.ID, first) {
		if len(in) > 0 && len(of[i]) > 0 {
			m.Table[a.Scale.SideOf(in[0].value)][a.Scale.SideOf(of[i][0].value)]++
			m.N++
		}
	}
	if m.N == 0 {
		return m, nil
	}
	for i := range rows {
		rows[i] = m.Table[i][:]
	}
	t, err := choice.MarginalHomogeneity(rows)
	m.Test.Statistic, m.Test.P = t.Q, t.P
	if m.Moved() > 0 {
		m.Test.DF = t.DF
	}
	if !math.IsNaN(t.ExactP) {
		m.Test.P, m.Test.Title = t.ExactP, m.Test.Title+", exact"
	}
	return m, err
}

// adjustMoves adjusts the pairs of an attribute by Holm's method, where there are several.
func (f *Finding) adjustMoves() {
	var ps []float64
	var tested []*RightMove
	for i := range f.AboutRight.Moves {
		if m := &f.AboutRight.Moves[i]; !math.IsNaN(m.Test.P) {
			ps, tested = append(ps, m.Test.P), append(tested, m)
		}
	}
	if len(ps) < 2 {
		return
	}
	for i, p := range stats.Holm(ps) {
		tested[i].Test.PAdjusted = p
	}
}

// judgeAboutRight gives the verdict: something to change was found where a fifth of the people
// or more said too little, or too much, and liked the sample less than those who said about
// right. It is about right as it is where neither side matters: fewer than a fifth say so,
// surely, or those who do like it as much, surely.
func (f *Finding) judgeAboutRight(plan study.AnalysisPlan) {
	e := evidence{n: f.N, fewest: Fewest(plan.Alpha), inside: true}
	v := Verdict{Margin: f.smallest(plan)}
	for _, x := range f.sides() {
		side := evidence{n: f.N, fewest: e.fewest,
			found:  !x.Few() && x.Drop.Value > 0 && x.Test.Deciding() < plan.Alpha,
			beyond: v.Margin > 0 && x.Adjusted.Lo >= v.Margin,
			inside: x.surelyFew(plan) || inside(x.SameCI, v.Margin)}
		x.Verdict = side.code()
		e.found = e.found || side.found
		e.beyond = e.beyond || side.found && side.beyond
		e.inside = e.inside && side.inside
	}
	v.Code = e.code()
	f.Verdict = v
	f.Verdict.Next = f.next(plan)
}

// surelyFew reports whether fewer than a fifth of all guests would say so: the upper end of
// a one-sided interval at alpha lies below.
func (x *RightSide) surelyFew(plan study.AnalysisPlan) bool {
	return x.of > 0 && plan.Alpha < 0.5 && dist.ClopperPearson(x.said, x.of, 1-2*plan.Alpha).Hi < ShareToAct
}

func warnAssociation() Warning {
	return Warning{WarnAssociation, "the same guests said how much they liked a sample and whether it was about " +
		"right: that the two go together does not show that changing the one changes the other, until the " +
		"changed dish is tasted"}
}

// remarkFew speaks where means of liking rest on few people.
func (f *Finding) remarkFew(s *study.Study, a study.Attribute, x RightSample) {
	for side, n := range []int{x.Low.People, x.Liked.People, x.High.People} {
		if n > 0 && n < fewInGroup {
			f.warn(Warning{WarnFewInGroup, fmt.Sprintf("of %s, %d said “%s” and how much they liked it: of fewer "+
				"than %d people a mean is known badly, and any drop is tested with more caution", Label(s, x.Sample), n,
				a.Scale.SideLabel(side), fewInGroup)})
		}
	}
}
