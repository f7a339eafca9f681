package analysis

import (
	"fmt"
	"math"

	"cloche/internal/design"
	"cloche/internal/stats/dist"
	"cloche/internal/study"
)

// DryRun tries the analysis of a study out on invented ratings. Nobody has tasted:
// what comes out shows what a report would look like, and how often the planned
// test would find something, if the truth were as assumed here.
type DryRun struct {
	Study *study.Study
	Plan  *design.Plan // any plan of the study
	// standard deviation of an assessor's difference between the two samples, scale points; where each gets
	// one sample, of what people say of it; see [Spread]. An order has none.
	Spread float64
	// the true difference of the primary comparison on the primary attribute, at least 0; of an order, the share
	// who put the best sample before the worst, above ½; of right answers the share who truly tell; of words the
	// share more who tick one; of a threshold the amount that half of the people taste; of a series the points for
	// each unit more; 0 = no effect
	Difference float64
	Seed       uint64
}

// Bounds of what is simulated while somebody waits, measured so that two truths
// take less than half a second on one core (BenchmarkDryRun).
const (
	mostSimulated   = 200    // studies, for a share that is right to 3.5 points
	leastSimulated  = 20     // fewer say nothing
	simulatedAtOnce = 48_000 // ratings of the primary attribute, over all studies
	mostPairs       = 60_000 // assessors times comparisons of one analysis
)

// Invents reports whether a dry run can invent the answers to a question.
func Invents(q study.Question) bool {
	k := q.Kind()
	return q.CollectsRatings() || q.Response() == study.RankAll || q.Response() == study.TickWords || k.Tells ||
		k.Ascending
}

// Simulable is how many simulated studies [DryRun.Often] can count while somebody
// waits, 0 when the study is too large for that.
func Simulable(s *study.Study) int {
	each := len(s.Samples)
	switch s.Serving.Design {
	case study.Some:
		each = s.Serving.PerAssessor
	case study.One:
		each = 1
	}
	if together := s.TurnServings(); together > 1 {
		each = together * s.Trays() / max(1, s.Serving.Replicates)
	}
	ratings := max(1, s.Panel.Assessors*each*max(1, s.Serving.Replicates))
	pairs := len(s.Samples) * (len(s.Samples) - 1) / 2 * len(s.Averaged())
	if leastSimulated*ratings > 4*simulatedAtOnce || pairs*s.Panel.Assessors > mostPairs {
		return 0
	}
	most := mostSimulated
	if s.Plan.Test == study.RankSum {
		most /= 2 // its exact distribution takes up to ten milliseconds a study: see [exactGroupsCost]
	}
	if s.Plan.WholePanel || s.Question.Response() == study.TickWords {
		most /= 4 // a model, or shuffles, of some milliseconds a study: see BenchmarkDryRunOfKinds
	}
	return min(max(simulatedAtOnce/ratings, leastSimulated), most)
}

// Found counts simulated studies.
type Found struct {
	Studies int     // simulated
	Found   int     // whose planned test found what it looks for
	Share   float64 // Found of Studies
	SE      float64 // Monte Carlo standard error of Share, never 0: that of a share of (Found + ½) of (Studies + 1)
}

// truth is what is assumed. The primary comparison differs by the difference, half
// of it on each side of the middle of the scale, in the direction that the test
// looks; other samples lie in the middle, other attributes know no effect. The
// spread is half due to the assessor's own view of a sample and half to the single
// rating; replicates are averaged, which is why theirs is larger. On other scales
// it is the same share of their length. Assessors use scales differently, by a
// standard deviation of a tenth of the length, which differences do not feel. Where each
// assessor rates one sample, the spread is half due to the assessor and half to the rating.
func (d DryRun) truth() Truth {
	primary, _ := d.Study.Attribute(d.Study.Plan.Attribute)
	length := primary.Scale.Max() - primary.Scale.Min()
	half := d.Difference / 2
	if d.Study.Plan.Sides == study.Less {
		half = -half
	}
	t := Truth{}
	for _, a := range d.Study.Averaged() {
		span := a.Scale.Max() - a.Scale.Min()
		each := d.Spread / length * span / 2 // two parts, each in both samples: 4·each² is the spread squared
		x := TrueAttribute{Mean: a.Scale.Min() + span/2, AssessorSD: span / 10, SampleSD: each, RatingSD: each}
		if d.Study.Serving.Design == study.One { // two parts, in one sample
			x.SampleSD, x.AssessorSD, x.RatingSD = 0, math.Sqrt2*each, math.Sqrt2*each
		}
		x.RatingSD *= math.Sqrt(float64(max(1, d.Study.Serving.Replicates)))
		t[a.ID] = x
	}
	main := t[primary.ID]
	if d.Study.Question.Kind().Amounts {
		main.Effects = d.trueSeries()
		t[primary.ID] = main
		return t
	}
	apart := d.Study.Plan.Compare
	if d.Study.Plan.WholePanel { // all others lie midway, as the size supposes
		apart[0], apart[1] = FurthestApart(d.Study)
	}
	main.Effects = map[study.SampleID]float64{apart[0]: half, apart[1]: -half}
	if d.Study.Plan.EffectOf != "" {
		main.Effects = trueEffects(d.Study, 2*half)
	}
	t[primary.ID] = main
	return t
}

// check refuses what cannot be simulated. Errors: [ErrNotRatings], [ErrPlan].
func (d DryRun) check() error {
	if !Invents(d.Study.Question) {
		return fmt.Errorf("%w: %s", ErrNotRatings, d.Study.Question)
	}
	if err := checkPlan(d.Study); err != nil {
		return err
	}
	if d.ranks() {
		if d.Difference != 0 && !(d.Difference > evenShare && d.Difference < 1) {
			return fmt.Errorf("%w: a share of %g who put the best before the worst cannot be simulated", ErrPlan,
				d.Difference)
		}
		return nil
	}
	if d.chooses() || d.ticks() {
		return d.checkChosen()
	}
	if !SimulatesEffect(d.Study) {
		return fmt.Errorf("%w: this effect of crossed samples cannot be simulated yet", ErrPlan)
	}
	if !(d.Spread > 0 && d.Difference >= 0) || math.IsInf(d.Spread, 0) || math.IsInf(d.Difference, 0) {
		return fmt.Errorf("%w: a spread of %g and a difference of %g cannot be simulated", ErrPlan, d.Spread,
			d.Difference)
	}
	return nil
}

// Ratings are the answers of one simulated study.
func (d DryRun) Ratings() ([]Rating, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	if d.ranks() {
		return d.orders(d.Seed), nil
	}
	if d.chooses() {
		return d.chosen(d.Seed), nil
	}
	if d.ticks() {
		return Simulate(d.Study, d.Plan, d.trueTicks(), d.Seed), nil
	}
	if d.oneDish() {
		return d.saidAlone(d.Seed), nil
	}
	ratings := Simulate(d.Study, d.Plan, d.truth(), d.Seed)
	d.markStrata(ratings)
	return ratings, nil
}

// Expected is what the same assessors say of names that they read before tasting,
// under the same truth; nil when the study asks nothing before.
func (d DryRun) Expected() ([]Expectation, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	if d.ranks() || d.chooses() || d.ticks() || d.oneDish() {
		return nil, nil
	}
	var all []Expectation
	truth := d.truth()
	for _, a := range d.Study.Attributes {
		t, random := truth[a.ID], newStream(d.Seed, "expected of "+string(a.ID))
		for _, v := range d.Plan.Servings {
			if v.Role != design.Expected {
				continue
			}
			sample, _ := d.Study.Sample(d.Plan.Samples[v.Sample])
			value := t.Mean + t.Effects[sample.ID] + t.RatingSD*math.Sqrt2*random.NormFloat64()
			all = append(all, Expectation{Assessor: AssessorLabel(int(v.Assessor)), Name: sample.Name, Attribute: a.ID,
				Value: onScale(a.Scale, value)})
		}
	}
	return all, nil
}

// Often simulates n studies, with the seeds that follow that of the dry run, and
// counts those in which the planned test of the primary comparison finds what it looks
// for, a difference or that there is none that matters, as [Analyse] would: its p below alpha.
func (d DryRun) Often(n int) (Found, error) {
	if err := d.check(); err != nil {
		return Found{}, err
	}
	f := Found{Studies: n}
	find := d.finding()
	for i := range n {
		found, err := find(d.Seed + 1 + uint64(i))
		if err != nil {
			return Found{}, fmt.Errorf("simulate study %d of %d: %w", i+1, n, err)
		}
		f.Found += boolToInt(found)
	}
	f.Share = float64(f.Found) / float64(n)
	p := (float64(f.Found) + 0.5) / float64(n+1)
	f.SE = math.Sqrt(p * (1 - p) / float64(n))
	return f, nil
}

// finding reports of one simulated study after another whether it finds what is looked for.
func (d DryRun) finding() func(seed uint64) (bool, error) {
	p := d.orderP
	switch {
	case d.chooses():
		return d.finds(d.Study, d.chosen)
	case d.oneDish():
		return d.finds(d.Study, d.saidAlone)
	case d.ticks():
		p = d.ticksP
	case d.Study.Plan.WholePanel:
		p = d.togetherP
	case d.Study.Question.Kind().Amounts:
		return d.findsOnMain()
	case !d.ranks():
		truth := d.truth()
		p = func(seed uint64) (float64, error) { return d.primaryP(truth, seed) }
	}
	return func(seed uint64) (bool, error) {
		v, err := p(seed)
		return v < d.Study.Plan.Alpha, err
	}
}

// primaryP is the p of the primary comparison in one simulated study, reckoned from
// its own ratings alone: the rest of an analysis takes a hundred times as long.
func (d DryRun) primaryP(truth Truth, seed uint64) (float64, error) {
	c := primaryOf(d.Study)
	var ratings []Rating
	for _, r := range simulateAttribute(c.attribute, d.Plan, truth.of(c.attribute), seed) {
		all := d.Study.Plan.EffectOf != "" || d.Study.Plan.Test == study.MixedT
		if all || r.Sample == c.pair[0] || r.Sample == c.pair[1] {
			ratings = append(ratings, r)
		}
	}
	d.markStrata(ratings)
	t, err := tabulate(d.Study, ratings)
	if err != nil {
		return math.NaN(), err
	}
	if d.Study.Serving.Design == study.One {
		return d.groupsP(t, c)
	}
	if d.Study.Plan.Test == study.MixedT {
		m, err := t.modelOfTable(d.Study, c.attribute)
		if err != nil {
			return math.NaN(), err
		}
		effect, err := m.pair(c.pair)
		return dist.TPValue(effect.T, effect.DF2, sideOf(d.Study.Plan.Sides)), err
	}
	pairs := t.primaryPairs(d.Study, c)
	if len(pairs) < Fewest(d.Study.Plan.Alpha) {
		return math.NaN(), nil
	}
	x, y := columns(pairs)
	switch d.Study.Plan.Test {
	case study.Lottery:
		return d.lotteryP(t, emptyFinding(c, d.Study.Plan.Level()))
	case study.Ordinal:
		return d.ordinalP(t, c)
	}
	if d.Study.Plan.Test == study.SignedRank {
		test, _, err := rankTest(sideOf(d.Study.Plan.Sides), x, y)
		return test.P, err
	}
	if d.Study.Plan.Test == study.Equivalence {
		f := emptyFinding(c, d.Study.Plan.Level())
		f.Pair.Each, f.N = pairs, len(pairs)
		err := f.test(d.Study.Plan, x, y)
		return f.Test.P, err
	}
	test, result, err := pairedTest(sideOf(d.Study.Plan.Sides), x, y)
	if err == nil && result.SD == 0 {
		test, err = new(Finding).count(sideOf(d.Study.Plan.Sides), d.Study.Plan.Level(), x, y)
	}
	return test.P, err
}
