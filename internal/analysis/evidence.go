package analysis

import (
	"fmt"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	counting "cloche/internal/stats/evidence"
	"cloche/internal/stats/ttest"
	"cloche/internal/study"
)

// Codes of warnings of running evidence, beside [WarnAfterLook] and [WarnOthersAtLook].
const (
	WarnNoProof       = "evidence-not-conclusive"
	WarnLopsided      = "lopsided-differences"
	WarnAllEqual      = "all-differences-equal"
	reasonAfterEnough = "rated after there was enough evidence"
)

// EvidencePart is what evidence came to that was counted after everybody.
type EvidencePart struct {
	By      study.Evidence
	At      float64   // mean over standard deviation at which it grows best
	Alpha   float64   // of the plan: 1/Alpha to 1 is enough
	Planned int       // people, at the most
	Range   float64   // of the scale, from end to end: no difference is larger
	Steps   []float64 // ln E after each person, in the order in which they came; the last is where it ended
	Beside  float64   // ln E at the same end by the other way: the guard against lopsided differences
	Stopped bool      // there was enough
	Later   int       // people who rated after it and do not count
	Plain   Effect    // the mean difference as if nobody had looked
}

// LogE is ln E at the end; 0 where nobody has come.
func (e *EvidencePart) LogE() float64 {
	if len(e.Steps) == 0 {
		return 0
	}
	return e.Steps[len(e.Steps)-1]
}

// Enough is ln E from which on tasting stops.
func (e *EvidencePart) Enough() float64 { return -math.Log(e.Alpha) }

// P is 1/E at most, of the largest evidence at which tasting could have stopped.
func (e *EvidencePart) P() float64 {
	most := max(0, e.LogE())
	if from := study.FewestForEvidence - 1; len(e.Steps) > from {
		most = max(most, slices.Max(e.Steps[from:]))
	}
	return math.Exp(-most)
}

// counter counts evidence person by person.
type counter struct {
	mixture *counting.Mixture
	betting *counting.Betting
}

// newCounter counts both ways, for differences on a scale of a range.
func (e *EvidencePart) newCounter(alpha float64) (counter, error) {
	m, err := counting.NewMixture(e.At * e.At)
	if err != nil {
		return counter{}, fmt.Errorf("%w: evidence: %w", ErrPlan, err)
	}
	b, err := counting.NewBetting(e.Range, alpha, counting.UsualCap)
	if err != nil {
		return counter{}, fmt.Errorf("%w: evidence: %w", ErrPlan, err)
	}
	return counter{m, b}, nil
}

func (c counter) add(p Pair) error {
	d := p.First - p.Second
	if err := c.mixture.Add(d); err != nil {
		return err
	}
	return c.betting.Add(d)
}

// logE is ln E by a way, and by the other.
func (c counter) logE(by study.Evidence) (decides, beside float64) {
	if by == study.ByBetting {
		return c.betting.LogE(), c.mixture.LogE()
	}
	return c.mixture.LogE(), c.betting.LogE()
}

// interval is that of a way, no wider than the scale.
func (c counter) interval(by study.Evidence, level, most float64) stats.Interval {
	ci := c.mixture.Interval(level)
	if by == study.ByBetting {
		ci = c.betting.Interval()
	}
	return stats.Interval{Lo: max(ci.Lo, -most), Hi: min(ci.Hi, most), Level: level}
}

// takeEvidence counts evidence in the order in which people came until there is enough, and keeps those
// that count.
func (f *Finding) takeEvidence(s *study.Study, when arrivals) error {
	a, _ := s.Attribute(f.Attribute)
	e := &EvidencePart{By: s.Plan.Evidence, At: s.Plan.EvidenceAt, Alpha: s.Plan.Alpha, Planned: s.PlannedPeople(),
		Range: a.Scale.Max() - a.Scale.Min(),
		Plain: Effect{Measure: method.MeanDifference, Value: math.NaN(), CI: stats.NoInterval(s.Plan.Level())}}
	c, err := e.newCounter(e.Alpha)
	if err != nil {
		return err
	}
	all, known := when.inOrder(f.Pair.Each)
	if !known {
		f.warn(Warning{WarnArrivalUnknown, "it is not known in which order people came: evidence is counted in the " +
			"order of the assessors’ numbers, which decides by chance when to stop"})
	}
	for i, p := range all {
		if err := c.add(p); err != nil {
			return fmt.Errorf("count evidence of assessor %s: %w", p.Assessor, err)
		}
		step, beside := c.logE(e.By)
		e.Steps, e.Beside = append(e.Steps, step), beside
		if e.Stopped = i+1 >= study.FewestForEvidence && step >= e.Enough(); e.Stopped {
			break
		}
	}
	f.N = len(e.Steps)
	f.Pair.Each, e.Later, f.Evidence = all[:f.N], len(all)-f.N, e
	if e.Later > 0 {
		f.Excluded = append(f.Excluded, Exclusion{Reason: reasonAfterEnough, Count: e.Later})
	}
	return nil
}

// inOrder are pairs in the order in which people came; as they are where that is not known.
func (in arrivals) inOrder(pairs []Pair) (all []Pair, known bool) {
	all = slices.Clone(pairs)
	if slices.ContainsFunc(pairs, func(p Pair) bool { return in[p.Assessor].answer == 0 }) {
		return all, false
	}
	slices.SortStableFunc(all, func(a, b Pair) int { return in[a.Assessor].answer - in[b.Assessor].answer })
	return all, true
}

// counted counts the evidence of the finding's pairs anew, for a level.
func (f *Finding) counted(level float64) (counter, error) {
	c, err := f.Evidence.newCounter(1 - level)
	if err != nil {
		return c, err
	}
	for _, p := range f.Pair.Each {
		if err := c.add(p); err != nil {
			return c, err
		}
	}
	return c, nil
}

// testByEvidence puts running evidence in the place of the t test, which stands beside it.
func (f *Finding) testByEvidence(t Test) {
	m := method.Mixture
	if f.Evidence.By == study.ByBetting {
		m = method.Betting
	}
	nan := math.NaN()
	f.Also = append([]Test{t}, f.Also...)
	f.Test = Test{m, m.Title(), f.Evidence.LogE(), nan, nan, f.Evidence.P(), nan}
	f.Measure = method.AtAnyMoment
}

// estimatedByEvidence is the mean with the interval that holds at any moment.
func (f *Finding) estimatedByEvidence(level float64) (estimate, error) {
	c, err := f.counted(level)
	if err != nil {
		return estimate{}, err
	}
	return estimate{value: c.mixture.Mean(), ci: c.interval(f.Evidence.By, level, f.Evidence.Range)}, nil
}

// recount counts the evidence of fewer people at the same end; nil where none is counted.
func (e *EvidencePart) recount(pairs []Pair) (*EvidencePart, error) {
	if e == nil {
		return nil, nil // the finding has none
	}
	again := *e
	again.Steps, again.Later = nil, 0
	c, err := again.newCounter(again.Alpha)
	if err != nil {
		return nil, err
	}
	for _, p := range pairs {
		if err := c.add(p); err != nil {
			return nil, err
		}
		step, beside := c.logE(again.By)
		again.Steps, again.Beside = []float64{step}, beside // at the end alone: nobody looked before
	}
	again.Stopped = again.LogE() >= again.Enough()
	return &again, nil
}

// remarkEvidence warns of what evidence does and does not tell, and keeps the mean as a t test has it.
func (f *Finding) remarkEvidence(plan study.AnalysisPlan) error {
	x, y := columns(f.Pair.Each)
	plain, err := estimated(method.MeanDifference, x, y, plan.Level())
	if err != nil {
		return err
	}
	e := f.Evidence
	e.Plain = Effect{method.MeanDifference, plain.value, plain.ci}
	r, err := ttest.Paired(x, y, ttest.PairedOptions{})
	if err != nil {
		return err
	}
	switch {
	case len(x) > 1 && r.SD == 0:
		f.warn(Warning{WarnAllEqual, "all differences are equal: by a t mixture there is no evidence before two " +
			"people " +
			"differ"})
	case !e.Stopped:
		f.warn(Warning{WarnNoProof, "the evidence was not enough to stop, which is no proof that there is no " +
			"difference"})
	default:
		f.warn(Warning{WarnAfterLook, "tasting stopped as soon as there was enough evidence: the mean, the " +
			"standardised " +
			"effects and the tests beside the planned one exaggerate; the interval allows for the stop, so plan the " +
			"next study on a difference from its lower part"})
	}
	if g := skewness(x, y); math.Abs(g) > skewedFrom && e.By == study.ByMixture {
		f.warn(Warning{WarnLopsided, fmt.Sprintf("the differences are lopsided, and for these a t mixture raises a "+
			"false "+
			"alarm more often than planned; evidence by betting, which needs only the ends of the scale, stands at %s",
			Odds(e.Beside))})
	}
	return nil
}

// Odds writes evidence, given as ln E, as “34 to 1”; evidence below 1 as “1 to 5”.
func Odds(logE float64) string { return OddsSaid(logE).String() }

// OddsSaid is [Odds] for every language; from a million on it says so.
func OddsSaid(logE float64) study.Said {
	odds := math.Exp(math.Abs(logE)) * (1 + 1e-12) // e^ln 20 is a little below 20
	switch {
	case logE < 0 && odds >= 1e6:
		return study.Say("1 to more than a million")
	case logE < 0:
		return study.Say("1 to %s", odd(odds))
	case odds >= 1e6:
		return study.Say("more than a million to 1")
	}
	return study.Say("%s to 1", odd(odds))
}

// odd writes odds with about two digits, down where they are for something.
func odd(odds float64) study.Figure {
	if odds >= 10 {
		return study.Figure(fmt.Sprint(int(odds)))
	}
	return study.Figure(fmt.Sprintf("%.1f", math.Floor(10*odds)/10))
}

// EvidenceNow is what evidence has come to in a study that goes on; nil where nobody rated both samples.
// Its cost is that of reading the ratings: counting is a few operations a person.
func EvidenceNow(s *study.Study, ratings []Rating, screened []Screened) (*EvidencePart, error) {
	f, in, err := ratedBoth(s, ratings, screened)
	if err != nil || len(f.Pair.Each) == 0 {
		return nil, err
	}
	if err := f.takeEvidence(s, in); err != nil {
		return nil, err
	}
	e, err := f.estimatedByEvidence(s.Plan.Level())
	f.Evidence.Plain = Effect{method.AtAnyMoment, e.value, e.ci}
	return f.Evidence, err
}
