package analysis

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/lottery"
	"cloche/internal/study"
)

// Lottery is a serving plan whose draw can be repeated: the one that the study had.
type Lottery struct {
	Plan   *design.Plan
	Labels []string // of its assessors; nil: [AssessorLabel] of each place
}

// SeededLottery is the plan that the seed of a study draws, where every rating is of the
// sample that it serves there; nil where it is not, or cannot be told.
func SeededLottery(s *study.Study, ratings []Rating) *Lottery {
	if !s.Serving.HasSeed || s.Serving.DealtOnArrival() || !s.Question.CollectsRatings() {
		return nil
	}
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		return nil
	}
	key := KeyOf(plan)
	for _, r := range ratings {
		if at := key.find(r); r.Position == 0 || len(at) != 1 || at[0].Sample != r.Sample {
			return nil
		}
	}
	return &Lottery{Plan: plan}
}

// redrawn draws the lottery of a plan again for the ratings of a study.
type redrawn struct {
	plan     *design.Plan
	draws    *design.Redraws
	swaps    [][]int // see [design.Redraws.Swaps]; nil for other lotteries
	assessor map[string]int
	at       map[[2]int]int // rated serving by assessor and position
}

// checkDraws is about how many servings are drawn for a check beside a finding, so that
// it costs little however large the study; planned tests have [lottery.Draws].
const checkDraws = 500_000

// redraw prepares the lottery; nil with what is missing where there is none.
func redraw(s *study.Study, l *Lottery) (r *redrawn, missing string) {
	const unknown = "the serving plan is not known here, or not every rating says at which position it was given"
	if l == nil || l.Plan == nil {
		return nil, unknown
	}
	draws, err := design.Redraw(s, l.Plan, l.Plan.Seed)
	if err != nil {
		return nil, "the serving plan does not fit the study"
	}
	r = &redrawn{plan: l.Plan, draws: draws, assessor: map[string]int{}, at: map[[2]int]int{}}
	for i := range l.Plan.Assessors {
		label := AssessorLabel(i)
		if l.Labels != nil {
			label = l.Labels[i]
		}
		r.assessor[label] = i
	}
	for i, v := range l.Plan.Servings {
		if v.Role == design.Rated {
			r.at[[2]int{int(v.Assessor), int(v.Position)}] = i
		}
	}
	r.swaps, _ = draws.Swaps()
	return r, ""
}

// trial lays the ratings of a comparison out by the servings of the plan, without some
// people; moved counts those of another sample than the plan says. Not ok where a rating
// has no place in the plan.
func (r *redrawn) trial(p *panel, c comparison, groups bool, except []string) (t lottery.Trial, moved int, ok bool) {
	n := len(r.plan.Servings)
	t = lottery.Trial{Value: make([]float64, n), Assessor: make([]int, n), Sample: make([]int32, n), Groups: groups,
		First:  int32(slices.Index(r.plan.Samples, c.pair[0])),
		Second: int32(slices.Index(r.plan.Samples, c.pair[1]))}
	for i, v := range r.plan.Servings {
		t.Value[i], t.Assessor[i], t.Sample[i] = math.NaN(), int(v.Assessor), v.Sample
	}
	for i, who := range p.assessors {
		if slices.Contains(except, who) {
			continue
		}
		place, known := r.assessor[who]
		for k, x := range r.plan.Samples {
			for _, v := range p.column(c.attribute.ID, x)[i] {
				at, served := r.at[[2]int{place, v.position}]
				if !known || !served || !math.IsNaN(t.Value[at]) {
					return t, 0, false
				}
				if t.Value[at] = v.value; t.Sample[at] != int32(k) {
					t.Sample[at] = int32(k)
					moved++
				}
			}
		}
	}
	return t, moved, true
}

// swapped is the trial as one of swaps; not ok where it is not one.
func (r *redrawn) swapped(t lottery.Trial, draws int) (s lottery.Swapped, ok bool) {
	if r.swaps == nil || t.Groups {
		return s, false
	}
	s = lottery.Swapped{Draws: draws, Seed: r.plan.Seed}
	rated := map[int][2]float64{}
	seen := map[int][2]bool{}
	for i, v := range t.Value {
		if math.IsNaN(v) {
			continue
		}
		k := 0
		if t.Sample[i] == t.Second {
			k = 1
		}
		values, both := rated[t.Assessor[i]], seen[t.Assessor[i]]
		values[k], both[k] = v, true
		rated[t.Assessor[i]], seen[t.Assessor[i]] = values, both
	}
	for _, set := range r.swaps {
		var members []int
		for _, i := range set {
			if seen[i] == [2]bool{true, true} {
				members = append(members, len(s.Differences))
				s.Differences = append(s.Differences, rated[i][0]-rated[i][1])
			}
		}
		s.Sets = append(s.Sets, members)
	}
	return s, len(s.Differences) > 0
}

// fewerDraws are those of what is not primary, so that many comparisons take no longer.
const fewerDraws = 9_999

// drawn is what the lottery says of comparisons, nil where it says nothing, with so many
// draws, without some people.
func (p *panel) drawn(all []comparison, groups bool, draws int, except ...string) ([]*lottery.Result, error) {
	r, found := p.lottery, make([]*lottery.Result, len(all))
	if r == nil {
		return found, nil
	}
	var trials []lottery.Trial
	var of []int
	for i, c := range all {
		t, moved, ok := r.trial(p, c, groups, except)
		if !ok {
			continue
		}
		if s, ok := r.swapped(t, draws); ok && moved == 0 {
			result, err := s.Test()
			if err != nil {
				return nil, fmt.Errorf("swap orders: %w", err)
			}
			found[i] = result
			continue
		}
		trials, of = append(trials, t), append(of, i)
	}
	if len(trials) == 0 {
		return found, nil
	}
	results, err := lottery.Test(r.draws, draws, trials...)
	if err != nil {
		return nil, fmt.Errorf("draw the plan again: %w", err)
	}
	for k, i := range of {
		found[i] = results[k]
	}
	return found, nil
}

// drawOne is [panel.drawn] of one comparison; nil where its lottery says nothing.
func (p *panel) drawOne(s *study.Study, f *Finding, draws int, except ...string) (*lottery.Result, error) {
	a, _ := s.Attribute(f.Attribute)
	found, err := p.drawn([]comparison{{a, f.Two(), f.Role}}, f.Kind == KindGroups, draws, except...)
	if err != nil || saysNothing(found[0]) != "" {
		return nil, err
	}
	return found[0], nil
}

// saysNothing is why a lottery says nothing; "" when it says something.
func saysNothing(r *lottery.Result) string {
	switch {
	case r == nil:
		return "the ratings do not fit the serving plan"
	case math.IsNaN(r.TwoSided):
		return "nobody rated both"
	case r.Fixed:
		return "whatever is drawn, the difference is the same"
	}
	return ""
}

// drawPlanned draws the lottery for every comparison of a plan that tests by it.
func (p *panel) drawPlanned(s *study.Study, all []comparison) error {
	if s.Plan.Test != study.Lottery || len(all) == 0 {
		return nil
	}
	groups := s.Serving.Design == study.One
	first, err := p.drawnUntilDecided(all[:1], groups, sideOf(s.Plan.Sides), s.Plan.Alpha)
	if err != nil {
		return err
	}
	others, err := p.drawn(all[1:], groups, fewerDraws)
	if err != nil {
		return err
	}
	p.drawnBy = map[comparisonID]*lottery.Result{}
	for i, r := range append(first, others...) {
		p.drawnBy[all[i].id()] = r
	}
	return nil
}

// mostDraws are those of a planned test whose p is still on no side of alpha after
// [lottery.Draws].
const mostDraws = 399_999

// drawnUntilDecided is [panel.drawn] with more draws where the first leave open on which side
// of alpha the p of all draws would be.
func (p *panel) drawnUntilDecided(one []comparison, groups bool, side stats.Alternative, alpha float64) (
	[]*lottery.Result, error) {
	found, err := p.drawn(one, groups, lottery.Draws)
	if err != nil || saysNothing(found[0]) != "" || found[0].Decided(side, alpha) {
		return found, err
	}
	return p.drawn(one, groups, mostDraws)
}

// comparisonID names a comparison.
type comparisonID struct {
	attribute study.AttributeID
	pair      [2]study.SampleID
}

func (c comparison) id() comparisonID { return comparisonID{c.attribute.ID, c.pair} }

// byLottery prepares a comparison for the plan's lottery where that is the planned test,
// and returns the plan by which the finding is tested: where there is no lottery, with a
// t test in its place.
func (p *panel) byLottery(plan study.AnalysisPlan, c comparison, f *Finding, groups bool) study.AnalysisPlan {
	if plan.Test != study.Lottery {
		return plan
	}
	missing := p.noLottery
	if p.lottery != nil {
		missing = saysNothing(p.drawnBy[c.id()])
	}
	if missing == "" {
		f.Drawn = p.drawnBy[c.id()]
		f.remarkDraws(plan)
		if _, moved, ok := p.lottery.trial(p, c, groups, nil); ok && moved > 0 {
			f.warn(warnNotFollowed(moved))
		}
		return plan
	}
	plan.Test = study.PairedT
	if groups {
		plan.Test = study.WelchT
	}
	f.warn(warnNoLottery(plan.Test, missing))
	return plan
}

// testByLottery puts the plan's lottery in the place of the test, and the others beside it.
func (f *Finding) testByLottery(plan study.AnalysisPlan, others ...Test) {
	f.Test, f.Also = lotteryTest(f.Drawn, f.side(plan)), others
	f.Lean = signOf(f.Drawn.Difference)
	f.Measure = method.MeanDifference
}

func lotteryTest(r *lottery.Result, side stats.Alternative) Test {
	t := noTest(method.Lottery)
	t.Statistic, t.P = r.Statistic, [...]float64{stats.TwoSided: r.TwoSided, stats.Greater: r.Greater,
		stats.Less: r.Less}[side]
	if r.Exact {
		t.Title += ", exact"
		return t
	}
	t.Title += fmt.Sprintf(", %d random draws", r.Draws)
	if ci := r.PInterval(side, 0.95); !ci.Absent() {
		t.Title += fmt.Sprintf(" (all draws would give a p of %s to %s)", shortP(ci.Lo), shortP(ci.Hi))
	}
	return t
}

// estimate is the difference with the interval of the lottery; one without ends is none.
func lotteryEstimate(r *lottery.Result, level float64) estimate {
	ci := r.Interval(level)
	if math.IsInf(ci.Lo, 0) || math.IsInf(ci.Hi, 0) {
		ci = stats.NoInterval(level)
	}
	return estimate{value: r.Difference, ci: ci}
}

// remarkDraws speaks where the plan has too few draws for its test to find anything.
func (f *Finding) remarkDraws(plan study.AnalysisPlan) {
	floor := f.Drawn.Floor
	if f.side(plan) != stats.TwoSided {
		floor /= 2
	}
	if floor >= plan.Alpha {
		f.warn(Warning{WarnFewDraws, fmt.Sprintf("the plan could have been drawn in so few ways that its lottery "+
			"gives no p below %s: it can find nothing at %s", decimals(floor, 3), shortest(plan.Alpha))})
	}
	if side := f.side(plan); f.Role == Primary && !f.Drawn.Decided(side, plan.Alpha) {
		ci := f.Drawn.PInterval(side, 0.999)
		f.warn(Warning{WarnDrawsOpen, fmt.Sprintf("%d random draws leave open on which side of %s the p of all draws "+
			"would be (%s to %s): take it as being just there", f.Drawn.Draws, shortest(plan.Alpha), shortP(ci.Lo),
			shortP(ci.Hi))})
	}
}

// shortP writes an end of an interval of p.
func shortP(p float64) string {
	if p > 0 && p < 0.0001 {
		return "0.0001"
	}
	return strconv.FormatFloat(p, 'g', 3, 64)
}

func warnNotFollowed(moved int) Warning {
	what := fmt.Sprintf("%d ratings are", moved)
	if moved == 1 {
		what = "one rating is"
	}
	return Warning{WarnNotFollowed, what + " of another sample than the plan says: it was drawn again as planned, " +
		"and the answers counted as served. That is sound only if plates were swapped by somebody who could not know " +
		"what was on them"}
}

func warnNoLottery(instead study.Test, missing string) Warning {
	return Warning{WarnNoLottery, fmt.Sprintf("the planned %s could not be done: %s. The %s stands in its place",
		method.Lottery.Title(), missing, instead.Title())}
}

// checkByLottery is the finding by the plan's lottery, beside another test.
func (p *panel) checkByLottery(s *study.Study, f *Finding) (Recheck, bool, error) {
	if s.Plan.Test == study.Lottery || p.lottery == nil || s.AlwaysBefore(f.Two()) {
		return Recheck{}, false, nil
	}
	r, err := p.drawOne(s, f, min(max(checkDraws/len(p.lottery.plan.Servings), 999), fewerDraws))
	if err != nil || r == nil {
		return Recheck{}, false, err
	}
	t, e := lotteryTest(r, f.side(s.Plan)), lotteryEstimate(r, s.Plan.Level())
	return Recheck{Method: t.Method, What: t.Name(), N: r.N, Value: e.value, CI: e.ci, P: t.P}, true, nil
}
